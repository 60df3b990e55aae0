"""Pulse trains against MicroPython's published limits, messages and read-back.

*Source*: MicroPython documentation and source for this family of boards (R = read): 1 Hz to
40 MHz, 5000 Hz and 50 % unless told otherwise, eight timers, sixteen channels, messages, scales.
The table of resolutions follows from the maker's formula (A = arithmetic).
"""

from __future__ import annotations

import pytest

from robotsim import run_trial
from robotsim.board.pwm import CHANNELS, MAX_HZ, TIMERS, Channel, PwmUnit, resolution_bits
from robotsim.show.waves import pin_wave, pulses
from robotsim.units import MS
from tests.published.table import Tell

RESOLUTIONS = [
    (50, 16), (1000, 16), (5000, 13), (10_000, 12), (20_000, 11), (40_000, 10), (80_000, 9),
    (300_000, 8), (1_000_000, 6), (40_000_000, 1),
]  # fmt: skip


@pytest.mark.parametrize(("freq", "bits"), RESOLUTIONS)
def test_each_frequency_leaves_as_many_steps_as_its_bits_make(freq: int, bits: int) -> None:
    steps = {Channel(freq, duty).output_u16 for duty in range(0, 65536)}
    assert len(steps) == 2**bits + (bits < 16)  # and full scale


def test_the_bits_that_each_frequency_leaves(tell: Tell) -> None:
    freqs, published = zip(*RESOLUTIONS, strict=True)
    ours = tuple(map(resolution_bits, freqs))
    what = f"bits of duty at {', '.join(f'{freq:g}' for freq in freqs)} Hz"
    assert tell(what, published, ours, "the maker's formula (A)") == published


def test_the_units_limits(tell: Tell) -> None:
    published, ours = (8, 16, 40_000_000), (TIMERS, CHANNELS, MAX_HZ)
    assert tell("timers, channels, highest Hz", published, ours, "MicroPython (R)") == published


def run(*lines: str) -> list[str]:
    """Give what a program prints of a pulse train `p` on pin 18."""
    text = "\n".join(["from machine import PWM, Pin", *lines])
    told = run_trial(text, seconds=1.0)
    assert told.problem is None, told.problem
    return [line for _, line in told.printed]


SOURCE = "MicroPython source and arithmetic (R/A)"
TRY = "def tell(call):\n try:\n  call()\n except ValueError as fault:\n  print(fault)"


def test_what_a_pulse_train_has_unless_told_otherwise(tell: Tell) -> None:
    (line,) = run("p = PWM(Pin(18))", "print(p.freq(), p.duty_u16(), p.duty())")
    ours = tuple(map(int, line.split()))
    published = (5000, 32768, 512)  # 5 kHz and half
    assert tell("freq(), duty_u16(), duty() at first", published, ours, SOURCE) == published


def test_read_back_at_50_hz(tell: Tell) -> None:
    # R/A: duty_ns(1500000) reads back 1499939, u16 4915, duty() 76; allow 6 us.
    lines = run("p = PWM(Pin(18), freq=50)", "p.duty_ns(1500000)",
                "print(p.duty_ns())", "print(p.duty_u16())", "print(p.duty())")  # fmt: skip
    ours, published = tuple(map(int, lines)), (1_499_939, 4915, 76)
    what = "duty_ns(1500000) at 50 Hz: duty_ns(), duty_u16(), duty()"
    assert tell(what, published, ours, SOURCE) == published
    assert abs(ours[0] - 1_500_000) <= 6000


def test_the_waveform_on_the_pin_has_the_frame_and_the_pulse_of_servo_practice(tell: Tell) -> None:
    """The waveform is worked out from the recording when someone looks at it."""
    told = run_trial("from machine import PWM, Pin\nPWM(Pin(18), freq=50, duty_ns=1500000)\n",
                     seconds=0.2)  # fmt: skip
    wave = pin_wave(told, 18, 30 * MS, 150 * MS)
    assert wave is not None
    found = pulses(wave)
    frames = {b - a for (a, _), (b, _) in zip(found, found[1:], strict=False)}
    (frame,), (pulse,) = frames, {length for _, length in found}
    practice = "Futaba practice (R)"
    assert tell("frame on the pin at 50 Hz, ms", 20, frame / MS, practice) == 20
    assert tell("pulse of 1.5 ms on the pin, us", 1500, pulse / 1000, practice) == pytest.approx(
        1500, abs=6
    )


def test_a_duty_of_77_is_4928_and_1503_9_us(tell: Tell) -> None:
    # R/A: duty 0-1023 is stored << 6.
    lines = run("p = PWM(Pin(18), freq=50, duty=77)", "print(p.duty_u16())", "print(p.duty_ns())")
    u16, ns = map(int, lines)
    assert tell("duty(77) at 50 Hz: duty_u16()", 4928, u16, SOURCE) == 4928
    assert tell("duty(77) at 50 Hz: us", 1503.9, ns / 1000, SOURCE) == pytest.approx(
        1503.9, abs=0.05
    )


@pytest.mark.parametrize("order", ["duty=1023", "duty_u16=65535"])
def test_the_highest_number_of_a_scale_is_full_scale(order: str) -> None:
    # R: 1023 and 65535 become full scale.
    lines = run(f"p = PWM(Pin(18), freq=1000, {order})",
                "print(p.duty(), p.duty_u16(), p.duty_ns())")  # fmt: skip
    assert lines == ["1023 65535 1000000"]
    told = run_trial(f"from machine import PWM, Pin\nPWM(Pin(18), freq=1000, {order})", seconds=0.1)
    assert told.pwm_at(18, 0.1) == (1.0, 1000.0)


def test_read_back_is_cut_to_the_resolution() -> None:
    # R: the source reads the timer's own duty; at 20 kHz it has 11 bits, steps of 32.
    lines = run("p = PWM(Pin(18), freq=20000, duty_u16=1000)", "print(p.duty_u16(), p.duty())")
    assert lines == ["992 15"]


def test_pulse_lengths_of_servo_practice_in_three_scales(tell: Tell) -> None:
    # A: 1.0 ms = 5 % = 51/1023 = 3277/65535; 1.5 = 7.5 % = 77, 4915; 2.0 = 10 % = 102, 6554.
    pulses_ms, scales = (1.0, 1.5, 2.0), {"duty": (51, 77, 102), "duty_u16": (3277, 4915, 6554)}
    for scale, duties in scales.items():
        what = f"{scale} of {', '.join(map(str, duties))} at 50 Hz: ms"
        for ms, duty in zip(pulses_ms, duties, strict=True):
            (ns,) = run(f"p = PWM(Pin(18), freq=50, {scale}={duty})", "print(p.duty_ns())")
            ours = tell(what, ms, int(ns) / 1e6, "servo practice (A)")
            assert ours == pytest.approx(ms, abs=0.011)


@pytest.mark.parametrize("freq", [0, -5, 40_000_001])
def test_a_frequency_out_of_range_has_the_published_message(freq: int) -> None:
    message = "frequency must be from 1Hz to 40MHz"  # R
    lines = run(TRY, f"tell(lambda: PWM(Pin(18), freq={freq}))", "p = PWM(Pin(18), freq=50)",
                f"tell(lambda: p.freq({freq}))", "print(p.freq())")  # fmt: skip
    assert lines == [message, message, "50"]


def test_one_timer_too_many_and_one_channel_too_many() -> None:
    pins = "(0, 2, 4, 5, 12, 13, 14, 15, 16, 17, 18, 19, 21, 22, 23, 25)"
    lines = run(
        TRY, f"pins = {pins}", "for k in range(8):\n    PWM(Pin(pins[k]), freq=100 + k)",
        "tell(lambda: PWM(Pin(26), freq=999))",  # R: out of PWM timers:8
        "for pin in pins:\n    PWM(Pin(pin), freq=100)",
        "tell(lambda: PWM(Pin(26), freq=100))",  # R: out of PWM channels:16
        "PWM(Pin(0)).deinit()", "tell(lambda: PWM(Pin(26), freq=100))", "print('fits')",
    )  # fmt: skip
    assert lines == ["out of PWM timers:8", "out of PWM channels:16", "fits"]


def test_a_changed_frequency_keeps_the_share_of_the_duty() -> None:
    # R: "Save the same duty cycle when frequency is changed", in the source.
    unit = PwmUnit()
    unit.start(18, 1000)
    unit.set_duty(18, "10", 512)
    assert unit.start(18, 50).duty == 512
