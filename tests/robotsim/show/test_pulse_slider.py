"""The slider for the servo's pulse: right numbers, a picture that can be read, and its words."""

from __future__ import annotations

import math

import pytest

from robotsim import KitError, run_trial
from robotsim.show.pulse_slider import numbers, pulse_figure, state
from tests.robotsim.show.legible import check_apart, check_within

WIDTHS = [1000, 1500, 1830, 2000, 600, 2250, 2600, 450, 0, 20000]


@pytest.mark.parametrize(
    ("us", "percent", "ten_bits", "sixteen_bits"),
    [(1000, 5.0, 51, 3277), (1500, 7.5, 77, 4915), (2000, 10.0, 102, 6554)],
)
def test_the_three_scales_show_the_published_numbers(
    us: int, percent: float, ten_bits: int, sixteen_bits: int
) -> None:
    # Pulses 1.0/1.5/2.0 ms in a frame of 20 ms: Futaba practice (read); numbers: arithmetic.
    assert numbers(us) == {"duty_ns": 1000 * us, "duty_u16": sixteen_bits, "duty": ten_bits}
    assert f"{percent:.2f} %" in pulse_figure(us).get_label()


@pytest.mark.parametrize("us", [620, 1000, 1340, 1500, 1830, 2000, 2400, 300, 2700])
def test_the_arm_is_drawn_where_a_tug_without_trim_brings_it(us: int) -> None:
    text = "from machine import Pin, PWM\nPWM(Pin(18), freq=50, duty_ns={})\n"
    made = run_trial(text.format(1000 * us), serial=0, seconds=0.6)
    angle = state(us)[0]
    stood = math.degrees(made.tracks["arm"][-1])
    assert stood == pytest.approx(angle or 0.0, abs=0.05)
    if angle is None:
        assert "hears nothing" in state(us)[1]


def test_port_is_drawn_to_the_left() -> None:
    for us, side in ((2000, -1), (1000, 1)):
        axes = next(a for a in pulse_figure(us).axes if a.get_label() == "arm")
        arm = next(line for line in axes.lines if line.get_gid() == "arm")
        assert side * float(arm.get_xdata()[1]) == pytest.approx(math.sin(math.radians(45)))


@pytest.mark.parametrize("us", WIDTHS)
def test_texts_of_the_picture_neither_overlap_nor_leave_it(us: int) -> None:
    drawn = pulse_figure(us)
    check_within(drawn)
    if us > 3000:  # no slider goes there; its numbers stand at the rulers' ends
        return
    check_apart(drawn)




def test_a_pulse_longer_than_its_frame_is_refused_with_what_would_be_one() -> None:
    with pytest.raises(KitError, match="from 0 to 20000"):
        pulse_figure(1500000)
