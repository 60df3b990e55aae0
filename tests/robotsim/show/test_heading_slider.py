"""The slider for the heading: sums that follow from the readings, a picture that can be read."""

from __future__ import annotations

import math

import pytest

from robotsim import KitError
from robotsim.parts.quirks import Quirks
from robotsim.show import heading_slider
from robotsim.show.heading_slider import (
    Turn,
    heading_figure,
    measure,
    summed,
)
from tests.robotsim.show.legible import check_apart, check_within

SETTINGS = [(0.0, 10, 94), (4.4, 10, 94), (4.4, 200, 94), (-5.0, 200, 94), (5.0, 100, 133)]


def test_a_steady_rate_adds_up_to_rate_times_time() -> None:
    turn = Turn(tuple(k / 100 for k in range(101)), (31.0,) * 101, (0.0,) * 101)
    for every in (1, 2, 5, 10, 20):
        times, sums = summed(turn, 1.0, every)
        assert times[-1] == 1.0 and sums[-1] == pytest.approx(30.0)


def test_the_tug_turns_by_about_ninety_and_back() -> None:
    turn = measure(94)
    assert max(turn.heading) == pytest.approx(90.0, abs=3.0)
    assert turn.heading[-1] == pytest.approx(0.0, abs=1.0)
    steps = [b - a for a, b in zip(turn.t, turn.t[1:], strict=False)]
    assert min(steps) == pytest.approx(0.01, abs=0.0005)
    assert max(steps) == pytest.approx(0.01, abs=0.0005)


@pytest.mark.parametrize("serial", [2, 94, 133])
def test_with_nothing_taken_off_the_sum_is_wrong_by_bias_times_time(serial: int) -> None:
    turn = measure(serial)
    bias = math.degrees(Quirks.of(serial).gyro_bias[2])
    times, sums = summed(turn, 0.0, 1)
    off = sums[-1] - turn.heading[-1]
    assert off == pytest.approx(bias * (times[-1] - times[0]), abs=0.4)
    assert summed(turn, bias, 1)[1][-1] == pytest.approx(turn.heading[-1], abs=0.4)


def test_few_readings_miss_the_beginning_and_the_end_of_a_turn() -> None:
    turn = measure(94)
    bias = math.degrees(Quirks.of(94).gyro_bias[2])
    assert abs(summed(turn, bias, 20)[1][-1] - turn.heading[-1]) > 10.0


@pytest.mark.parametrize("setting", SETTINGS, ids=str)
def test_texts_of_the_picture_neither_overlap_nor_leave_it(
    setting: tuple[float, int, int],
) -> None:
    drawn = heading_figure(*setting)
    check_within(drawn)
    check_apart(drawn)


def test_the_words_tell_what_is_drawn() -> None:
    drawn = heading_figure(0.0, 10, 94)
    turn = measure(94)
    axes = next(a for a in drawn.axes if a.get_label() == "heading")
    (line,) = (one for one in axes.lines if one.get_gid() == "sum")
    end = float(list(line.get_ydata())[-1])
    assert end == summed(turn, 0.0, 1)[1][-1]
    assert f"{end - turn.heading[-1]:.1f} degrees to port of the true heading" in drawn.get_label()


@pytest.mark.parametrize(
    ("bad", "named"), [((0.0, 15), "15"), ((math.nan, 10), "number"), ((math.inf, 10), "number")]
)
def test_what_cannot_be_drawn_is_refused_with_what_can(bad: tuple[float, int], named: str) -> None:
    with pytest.raises(KitError, match=named):
        heading_figure(*bad)


def test_a_new_picture_needs_no_new_run_of_the_tug(monkeypatch: pytest.MonkeyPatch) -> None:
    """How long that takes is told by tests/benchmarks."""
    heading_figure(1.0, 20, 94)
    monkeypatch.setattr(heading_slider, "run_trial", None)
    for taken_off, every_ms in ((0.0, 10), (4.4, 50)):
        heading_figure(taken_off, every_ms, 94)
