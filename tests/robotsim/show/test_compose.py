"""The picture's make-up follows what happened."""

from __future__ import annotations

import pytest

from robotsim.show.compose import figure
from robotsim.show.numbers import rows
from robotsim.wiring import LAMPS
from tests.robotsim.show.legible import written
from tests.robotsim.show.recordings import drift, recording
from tests.robotsim.show.scenes import SCENES


def labels(name: str) -> set[str]:
    shown, table, targets = SCENES[name]
    return {str(axes.get_label()) for axes in figure(shown, table=table, targets=targets).axes}


def found(name: str, gid: str) -> list[str]:
    shown, table, targets = SCENES[name]
    drawn = figure(shown, table=table, targets=targets)
    return [t.get_text() for t in drawn.texts if t.get_gid() == gid]


def test_a_run_of_lamps_alone_has_no_plan_and_large_lamps() -> None:
    assert labels("fade") == {"the tug at the end", "lamps"}
    alone = next(a for a in figure(SCENES["fade"][0]).axes if a.get_label() == "lamps")
    beside = next(a for a in figure(drift()).axes if a.get_label() == "lamps")
    tall = [a.get_position().height * a.figure.get_figheight() for a in (alone, beside)]
    assert tall[0] > 1.5 * tall[1]


def test_a_run_with_motion_and_lamps_has_both() -> None:
    assert {"top view", "the tug at the end", "lamps", "speed in m/s"} <= labels("drift")


def test_a_run_without_lamps_has_numbers_in_their_place() -> None:
    assert "the tug at the end" not in labels("back")
    assert found("back", "number") == ["0.250 m", "0.000 m", "0.750 m", "0.0°", "0.250 m/s"]


def test_motors_that_did_not_start_still_show_where_the_tug_stood() -> None:
    assert "top view" in labels("stuck") and not found("stuck", "number")


def test_nothing_at_all_says_so() -> None:
    assert labels("nothing") == set()
    assert found("nothing", "note") == [
        "No motor was driven, no lamp was written to, nothing was printed."
    ]


def test_an_error_at_once_is_told_in_the_picture() -> None:
    assert found("odd text", "note")[0].startswith("SyntaxError: □ $")


def test_the_head_tells_the_finding_and_how_the_program_ended() -> None:
    assert found("error", "title") == [
        "The tug went 1.80 m and came back to its start, having turned 361° to port"
    ]
    assert found("error", "subtitle") == [
        "drive.py on the basin, tug 0. The program ended with ValueError in line 12 at 7.25 s, "
        "with the right motor still driven."
    ]


def test_each_lamp_is_named_with_what_it_shows_at_the_end() -> None:
    drawn = figure(drift())
    detail = next(a for a in drawn.axes if a.get_label() == "the tug at the end")
    said = {str(t.get_gid()): t.get_text() for t in detail.texts}
    assert [said[f"shows {name}"] for name in LAMPS] == [
        "dark", "dark", "amber", "dark", "white 8 %"
    ]  # fmt: skip


def test_numbers_are_those_of_the_motion() -> None:
    told = dict(rows(recording(legs=[(2, -0.1, -0.2)])))
    assert told["greatest speed (astern)"] == "0.100 m/s"
    assert told["turned to starboard in all"] == "22.9°"
    assert told["length of its path"] == "0.200 m"
    # a chord of an arc of radius 0.5 m and angle 0.4 rad: 0.5 sin 0.4 back, 0.5 (1 - cos 0.4) aside
    assert told["astern of its start"] == "0.195 m" and told["to port of its start"] == "0.039 m"


@pytest.mark.parametrize("seconds", [0.05, 0.5, 600])
def test_very_short_and_very_long_runs_can_be_drawn(seconds: float) -> None:
    shown = recording(seconds=seconds, legs=[(seconds, 0.01, 0.1)])
    assert figure(shown).axes


def test_tick_labels_of_strips_without_a_plan_stay_in_the_figure() -> None:
    arm = tuple(-0.7 if 100 < k < 200 else 0.0 for k in range(501))
    drawn = figure(recording(more={"arm": arm}))
    seen = [(text.get_text(), box) for text, box in written(drawn)]
    assert any("50" in text for text, _ in seen)
    assert all(box.x0 >= 0 for _, box in seen), [t for t, box in seen if box.x0 < 0]
