"""How runs kept to the line: numbers that follow from geometry, and a picture that tells them."""

from __future__ import annotations

import math

import pytest

from robotsim import KitError, Recording, make_table, run_trial
from robotsim.show.along import along_figure, kept
from robotsim.table.track import Track, bend, straight
from robotsim.table.weave import to_and_fro
from tests.robotsim.show.legible import check_apart, check_within, written
from tests.robotsim.show.recordings import recording

TABLE = make_table("quay")
SET = {"table": "quay", "start": TABLE.start}
RUN = 2.0


def straight_on(aside: float = 0.0) -> Recording:
    """Give the recording of a tug that runs along the quay's first side at some distance."""
    x, y, heading = TABLE.start
    return recording(
        seconds=RUN, legs=[(RUN, 0.25, 0.0)], table="quay", start=(x, y + aside, heading)
    )


def test_distance_and_way_are_those_of_the_row_of_eyes() -> None:
    way = kept(straight_on(0.007))
    assert way.off == pytest.approx([7.0] * len(way.off), abs=1e-6)
    assert way.gone[-1] == pytest.approx(0.5, abs=1e-9)
    assert way.mean == pytest.approx(7.0) and not way.lost
    # The row of eyes is 44 mm ahead of the axle (the tug's drawing).
    assert way.x[0] == pytest.approx(TABLE.start[0] + 0.044)


def test_a_run_that_leaves_the_line_is_cut_where_it_lost_it() -> None:
    x, y, heading = TABLE.start
    made = recording(seconds=3.0, legs=[(3.0, 0.25, 0.0)], table="quay",
                     start=(x, y, heading + 0.15))  # fmt: skip
    way = kept(made)
    assert way.lost and 40 < way.off[-1] < 41
    assert "lost the line after" in along_figure([made], ["astray"]).get_label()


def test_turning_to_and_fro_is_what_exceeds_the_lines_own_turns() -> None:
    line = Track.lay((0.0, 0.0, 0.0), [straight(0.5), bend(0.25, 90), straight(0.5)])
    gone = [line.length * k / 400 for k in range(401)]
    exact = [line.at(far)[2] for far in gone]
    assert to_and_fro(line, 0.0, gone, exact) == pytest.approx(0.0, abs=0.5)
    on_straight = [0.1 * math.sin(math.tau * far / 0.1) for far in gone[:201]]
    short = gone[:201]
    assert short[-1] < 0.75
    flat = Track.lay((0.0, 0.0, 0.0), [straight(2.0)])
    # Four times 0.1 rad of turning in each 0.1 m: arithmetic.
    found = to_and_fro(flat, 0.0, short, on_straight)
    assert found == pytest.approx(math.degrees(4.0), rel=0.03)
    assert to_and_fro(flat, 0.0, [0.0, 0.01], [0.0, 1.0]) == 0.0


def test_a_swing_is_measured_from_side_to_side_and_in_time() -> None:
    # Legs of a tug that turns by turns to port and to starboard: one swing in 0.4 s.
    legs = [(0.1, 0.25, 2.0), *([(0.2, 0.25, -2.0), (0.2, 0.25, 2.0)] * 5)]
    way = kept(recording(seconds=2.1, legs=legs, **SET))  # type: ignore[arg-type]
    assert way.swing[1] == pytest.approx(0.4, abs=0.02)


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_texts_of_the_picture_neither_overlap_nor_leave_it(count: int) -> None:
    runs = [straight_on(0.004 * k) for k in range(count)]
    drawn = along_figure(runs, [f"run {k}" for k in range(count)])
    check_within(drawn)
    check_apart(drawn)


def test_what_cannot_be_compared_is_refused_with_what_can() -> None:
    with pytest.raises(KitError, match="1 recordings and 2 labels"):
        along_figure([straight_on()], ["one", "two"])
    with pytest.raises(KitError, match="different tables"):
        other = run_trial("pass\n", table="channel", seconds=0.1)
        along_figure([straight_on(), other], ["one", "two"])
    with pytest.raises(KitError, match="no line"):
        along_figure([run_trial("pass\n", seconds=0.1)], ["one"])


def test_a_run_that_never_moved_is_said_to_and_makes_no_warning() -> None:
    """Warnings are errors here; a picture whose axis has no length made one."""
    still = run_trial("print('hello')", table="channel", seconds=1.0)
    told = along_figure([still], ["mine"])
    assert told.get_label() == "mine: did not move along the line."
    assert not any("0.0 mm" in text.get_text() for text, _ in written(told))
    both = along_figure([still, still], ["mine", "worked"]).get_label()
    assert "worked: did not move" in both
