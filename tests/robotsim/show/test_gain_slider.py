"""The sliders for the gains: real runs behind each picture, and words that tell what they show."""

from __future__ import annotations

from typing import Any

import pytest

from robotsim import KitError
from robotsim.show import gain_slider
from robotsim.show.along import kept
from robotsim.show.gain_slider import gain_figure, laws_figure, steered
from tests.robotsim.show.legible import check_apart, check_within

SETTINGS = [(0.03, 0.0, 40, "wave"), (0.12, 0.0, 40, "straight"), (0.0, 0.0, 40, "wave"),
            (0.06, 0.0018, 20, "straight")]  # fmt: skip


def test_each_of_the_three_laws_does_what_the_lesson_says_of_it() -> None:
    on_off = kept(steered(0.3, serial=7, on_off=True))
    proportional = kept(steered(0.13, serial=7))
    both = kept(steered(0.10, 0.002, serial=7))
    assert min(on_off.weaving, proportional.weaving) > 60 > 30 > both.weaving
    assert not (on_off.lost or proportional.lost or both.lost)
    label = laws_figure(serial=7).get_label()
    assert label.index("on and off:") < label.index("proportional:") < label.index("derivative:")


def test_too_small_a_gain_leaves_the_line_and_a_bend_is_taken_on_its_outer_side() -> None:
    assert kept(steered(0.006)).lost
    assert "lost the line after" in gain_figure(0.006).get_label()
    way = kept(steered(0.03))
    # The first bend is to port, from 0.22 m on: the tug keeps to starboard of the line there.
    first_bend = [off for gone, off in zip(way.gone, way.off, strict=True) if 0.2 < gone < 0.27]
    assert max(first_bend) < -2.0


def test_the_straight_tells_a_swing_and_its_time() -> None:
    wild = gain_figure(0.10, 0.0, 40, "straight").get_label()
    assert "At the end it weaves by" in wild and "once in 0.25 s" in wild
    assert "does not weave at the end" in gain_figure(0.05, 0.0, 40, "straight").get_label()


def test_who_turns_no_more_than_the_line_is_not_said_to_turn_by_0_degrees() -> None:
    calm, wild = (gain_figure(*gains).texts[0].get_text() for gains in ((0.03, 0.0), (0.2, 0.0)))
    assert calm.endswith("mm off the line on average and turns no more than the line")
    assert wild.endswith("degrees a metre to and fro")


@pytest.mark.parametrize("setting", SETTINGS, ids=str)
def test_texts_of_the_picture_neither_overlap_nor_leave_it(
    setting: tuple[float, float, int, str],
) -> None:
    drawn = gain_figure(*setting)
    check_within(drawn)
    check_apart(drawn)


@pytest.mark.parametrize(
    ("bad", "named"),
    [((0.03, 0.0, 40, "harbour"), "wave"), ((9.0, 0.0, 40, "wave"), "9.0"),
     ((0.03, -1.0, 40, "wave"), "-1.0"), ((0.03, 0.0, 0, "wave"), "0 ms")],
)  # fmt: skip
def test_what_cannot_be_tried_is_refused(bad: tuple[float, float, int, str], named: str) -> None:
    with pytest.raises(KitError, match=named):
        steered(*bad)


def test_a_new_position_of_the_sliders_runs_the_tug_once_and_an_old_one_not_at_all(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """How long that takes is told by tests/benchmarks."""
    runs: list[float] = []
    run_trial = gain_slider.run_trial

    def counted(*program: Any, **settings: Any) -> Any:
        runs.append(settings["seconds"])
        return run_trial(*program, **settings)

    monkeypatch.setattr(gain_slider, "run_trial", counted)
    steered.cache_clear()
    for kp in (0.031, 0.032, 0.031):
        gain_figure(kp, 0.001)
    assert len(runs) == 2 and max(runs) <= 8.0
