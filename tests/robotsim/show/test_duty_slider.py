"""The slider for the duty: curves that are measured, a picture that can be read, and its words."""

from __future__ import annotations

import numpy as np
import pytest

from robotsim import KitError, run_trial
from robotsim.show.duty_slider import DECAYS, duty_figure, measure
from tests.robotsim.show.legible import check_apart, check_within

SETTINGS = [(0.3, 7, 1000), (0.0, 0, 1000), (1.0, 7, 200), (0.5, 7, 5000), (0.3, 0, 20000)]


def test_a_curve_agrees_with_a_run_straight_ahead() -> None:
    program = """
from machine import Pin, PWM
import time
for pin, duty in ((26, 32768), (14, 32768), (25, 65535), (27, 65535)):
    PWM(Pin(pin), freq=1000, duty_u16=duty)
time.sleep(2)
"""
    made = run_trial(program, serial=7, seconds=1.5)
    for side, speed in zip(("left", "right"), measure(7, "slow").at(0.5), strict=True):
        assert speed == pytest.approx(made.tracks[side][-1], abs=0.002)


def test_the_two_decays_agree_at_full_duty_and_only_slow_decay_is_straight() -> None:
    slow, fast = measure(7, "slow"), measure(7, "fast")
    assert slow.left[-1] == pytest.approx(fast.left[-1], rel=1e-3)
    bends = []
    for curve in (slow, fast):
        duty, speed = np.array(
            [p for p in zip(curve.duty, curve.left, strict=True) if p[1] > 0.06]
        ).T
        line = np.polyval(np.polyfit(duty, speed, 1), duty)
        bends.append(float(np.abs(speed - line).max()))
    assert bends[0] < 0.005 < 0.03 < bends[1]


def test_at_20_khz_fast_decay_needs_more_than_half_duty_and_slow_decay_does_not() -> None:
    # While the current never dies, fast decay's mean voltage is (2 d - 1) V: arithmetic from the
    # bridge's two states, supply one way and supply the other way through the diodes.
    start = measure(0, "slow", 20000).starts()[0]
    # The ripple of the slower pulses helps by a hundredth; the curve has steps of two.
    assert start == pytest.approx(measure(0, "slow", 1000).starts()[0], abs=0.021)
    quick = measure(0, "fast", 20000).starts()[0]
    assert start is not None and quick == pytest.approx((1 + start) / 2, abs=0.03)


def test_the_drawn_line_leaves_the_ground_at_the_duty_that_is_told_and_not_before() -> None:
    axes = next(a for a in duty_figure(0.3, 7).axes if a.get_label() == "speeds")
    for decay in DECAYS:
        for side, start in zip(("left", "right"), measure(7, decay).starts(), strict=True):
            (drawn,) = [line for line in axes.lines if line.get_gid() == f"{decay} {side}"]
            duty, speed = np.array(drawn.get_data())
            assert start is not None and max(speed[duty < 100 * start]) < 0.002
            assert list(speed[duty == 100 * start])[0] == 0.0 < speed[duty == 100 * start][1]


@pytest.mark.parametrize("setting", SETTINGS, ids=str)
def test_texts_of_the_picture_neither_overlap_nor_leave_it(setting: tuple[float, int, int]) -> None:
    drawn = duty_figure(*setting)
    check_within(drawn)
    check_apart(drawn)


def test_the_picture_marks_the_measured_speeds_and_tells_them_in_words() -> None:
    drawn = duty_figure(0.5, 7)
    axes = next(a for a in drawn.axes if a.get_label() == "speeds")
    marked = [
        float(y) for line in axes.lines if line.get_gid() == "marked" for y in line.get_ydata()
    ]
    assert marked == [*measure(7, "slow").at(0.5), *measure(7, "fast").at(0.5)]
    left, right = measure(7, "slow").at(0.5)
    assert f"In slow decay at 50 %: left {left:.2f}, right {right:.2f} m/s" in drawn.get_label()


def test_in_slow_decay_the_back_input_is_high_while_the_motor_is_not_driven() -> None:
    # DRV8835 data sheet SLVSB18, table 2: 1 0 drives, 1 1 brakes.
    drawn = duty_figure(0.25, 7)
    axes = next(a for a in drawn.axes if a.get_label() == "slow pulses")
    back = next(line for line in axes.lines if line.get_gid() == "back input")
    x, y = np.asarray(back.get_xdata()), np.asarray(back.get_ydata())
    high = sum(x[k + 1] - x[k] for k in range(0, len(x), 2) if y[k] == y.max())
    assert high == pytest.approx(2 * 0.75)




def test_what_is_no_duty_or_decay_is_refused_with_what_would_be_one() -> None:
    with pytest.raises(KitError, match="from 0 to 1"):
        duty_figure(30, 7)
    with pytest.raises(KitError, match="slow or fast"):
        measure(7, "quick")
