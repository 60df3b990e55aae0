"""The scope: the levels on the wires are those of the published sheets, and the words fit them."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from robotsim import KitError, UnknownNameError
from robotsim.board.pwm import PwmUnit
from robotsim.converter import Converter
from robotsim.parts.lamps import decode
from robotsim.recording import Event, Recording
from robotsim.show.bus import bus_waves, read_bus
from robotsim.show.notice import adc_volts, in_hertz, in_time
from robotsim.show.scope import _counts, _volts
from robotsim.show.scope import scope_figure as scope
from robotsim.show.waves import Wave, bytes_of_frame, pin_wave, pulses
from robotsim.units import MS, SECOND, US, ns
from robotsim.wiring import PINS
from tests.robotsim.show.legible import check_apart, check_within
from tests.robotsim.show.recordings import at, recording

ARM, LAMPS, LEFT, EYE = (PINS[role] for role in ("arm", "lamps", "left_ahead", "eye_0"))


def run(*events: Event, seconds: float = 0.5) -> Recording:
    return recording(seconds=seconds, events=events)


def wave(made: Recording, pin: int, begin: float, end: float) -> Wave:
    found = pin_wave(made, pin, ns(begin), ns(end))
    assert found is not None
    return found


# -- lamps -----------------------------------------------------------------------

SENT = "80ff01"
"""(255, 128, 1) on a GRB chain: the official driver, run under the real interpreter (read)."""


def lamps_run(data: str = SENT) -> Recording:
    return run(at(0.001, "frame", LAMPS, 1, data))


def test_the_bit_train_holds_the_lamps_data_sheet() -> None:
    """WS2812B: T0H 0.40, T0L 0.85, T1H 0.80, T1L 0.45 us, each +-0.15 (transcription)."""
    seen = wave(lamps_run(), LAMPS, 0.0005, 0.0015)
    levels = [(level, until - begin) for level, begin, until in seen.stretches]
    assert decode(levels[1:]).hex() == SENT
    highs = [length for level, length in levels if level]
    ones = f"{int(SENT, 16):024b}"
    for bit, length in zip(ones, highs, strict=True):
        assert length == pytest.approx(800 if bit == "1" else 400, abs=150)
    begins = [begin for level, begin, _ in seen.stretches if level]
    assert {b - a for a, b in itertools.pairwise(begins)} == {1250}  # 800 kHz


@pytest.mark.parametrize("data", [SENT, "00", "ff", "0055aaff01807f10" * 2 + "c3"])
def test_bytes_are_read_back_from_the_levels(data: str) -> None:
    seen = wave(lamps_run(data), LAMPS, 0.0005, 0.0025)
    found = bytes_of_frame(seen, ns(0.001))
    assert bytes(value for _, _, value in found).hex() == data
    assert [b - a for a, b, _ in found] == pytest.approx([10_000] * len(found), abs=600)


def test_a_byte_that_the_window_cuts_is_left_out() -> None:
    seen = wave(lamps_run(), LAMPS, 0.0005, 0.001018)
    assert [value for _, _, value in bytes_of_frame(seen, ns(0.001))] == [0x80]


# -- pulses ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("us", "u16", "degrees"), [(1000, 3277, -45), (1500, 4915, 0), (2000, 6554, 45)]
)
def test_a_servos_frame_is_20_ms_and_its_pulse_what_was_asked(
    us: int, u16: int, degrees: float
) -> None:
    """Futaba practice: 1.0, 1.5, 2.0 ms each 20 ms; the 16-bit numbers are arithmetic."""
    made = run(at(0.0, "pwm", ARM, 50, u16))
    found = pulses(wave(made, ARM, 0.030, 0.110))
    assert [begin for begin, _ in found] == [40 * MS, 60 * MS, 80 * MS, 100 * MS]
    for _, length in found:
        assert length == pytest.approx(us * US, abs=6 * US)
    side = f"{abs(degrees)}° to {'port' if degrees > 0 else 'starboard'}" if degrees else "ahead"
    assert side in scope(made, "arm").get_label()


def test_pulses_of_a_motor_are_as_long_as_the_duty_says() -> None:
    made = run(at(0.0, "pwm", LEFT, 1000, 19661))
    seen = wave(made, LEFT, 0.0005, 0.0505)
    assert len(pulses(seen)) == 50
    rises, high = seen.between(ns(0.001), ns(0.041))
    assert (rises, high) == (40, pytest.approx(0.3, abs=1e-4))
    steady = wave(run(at(0.0, "pwm", LEFT, 1000, 65535)), LEFT, 0.01, 0.02)
    assert steady.edges == ((10 * MS, 1),)


@pytest.mark.parametrize("told_ns", [4_100_000, 4_000_000, 4_999_999, 5_000_001])
def test_a_new_duty_comes_out_when_the_boards_unit_says(told_ns: int) -> None:
    unit = PwmUnit()
    channel = unit.start(LEFT, 1000)
    made = run(at(0.0, "pwm", LEFT, 1000, 16384), Event(told_ns, "pwm", (LEFT, 1000, 49152)))
    found = dict(pulses(wave(made, LEFT, 0.0005, 0.0095)))
    turn = channel.next_cycle(told_ns)
    for begin, length in found.items():
        assert length == (750_000 if begin >= turn else 250_000)


def test_a_pin_set_by_hand_and_a_button_as_the_program_read_it() -> None:
    made = run(
        at(0.01, "pin", 4, 1), at(0.02, "pin", 4, 0), at(0.03, "pin", 4, 1),
        at(0.01, "read", PINS["bumper"], 1), at(0.04, "read", PINS["bumper"], 0),
    )  # fmt: skip
    edges = wave(made, 4, 0.0, 0.05).edges
    assert edges == ((0, 0), (10 * MS, 1), (20 * MS, 0), (30 * MS, 1))
    assert wave(made, PINS["bumper"], 0.02, 0.05).edges == ((20 * MS, 1), (40 * MS, 0))
    assert wave(made, 4, 0.015, 0.05).at(ns(0.016)) == 1


# -- I2C -------------------------------------------------------------------------


def test_the_bus_says_address_register_and_answer() -> None:
    """0x68 is the sensor's address, 0x75 its WHO_AM_I register, 0x68 what it answers (read)."""
    made = run(at(0.010, "i2c", 0x68, "75", "68"))
    words = read_bus(*bus_waves(made, ns(0.009), ns(0.011)))
    assert [word.value for word in words] == [0x68 << 1, 0x75, 0x68 << 1 | 1, 0x68]
    assert [word.answered for word in words] == [True, True, True, False]


@pytest.mark.parametrize("data", ["", "00", "fddefe634236", "55aa" * 20])
def test_what_is_read_from_the_wires_is_what_was_said(data: str) -> None:
    made = run(at(0.1, "i2c", 0x68, "3b", data), at(0.2, "i2c", 0x50, "0102ff", ""))
    values = [word.value for word in read_bus(*bus_waves(made, ns(0.08), ns(0.21)))]
    asked = [0xD0, 0x3B, *([0xD1, *bytes.fromhex(data)] if data else []), 0xA0, 1, 2, 255]
    assert values == asked


def test_data_changes_only_while_the_clock_is_low_but_for_begin_and_end() -> None:
    made = run(at(0.1, "i2c", 0x68, "3b", "c35a"))
    clock, data = bus_waves(made, ns(0.09), ns(0.11))
    while_high = [level for moment, level in data.edges[1:] if clock.at(moment)]
    assert while_high == [0, 0, 1]  # begin, begin again, end: UM10204 (from memory)
    low = [moment for moment, level in clock.edges[1:] if level]
    assert {b - a for a, b in itertools.pairwise(low)} <= {2500, 5000}  # 400 kHz


def test_nobody_answers_is_seen_on_the_wire() -> None:
    made = run(at(0.1, "nack", 0x1C))
    (word,) = read_bus(*bus_waves(made, ns(0.09), ns(0.11)))
    assert (word.value, word.answered) == (0x1C << 1, False)
    assert "nobody answers at address 0x1C" in scope(made, "scl", "sda").get_label()


# -- the picture -----------------------------------------------------------------

FULL = run(
    at(0.0, "pwm", LEFT, 1000, 19661), at(0.0, "pwm", ARM, 50, 4915),
    at(0.001, "frame", LAMPS, 1, SENT * 5), at(0.01, "i2c", 0x68, "75", "68"),
    *(at(0.02 + k / 1000, "adc", EYE, 1000 + 20 * k) for k in range(100)),
)  # fmt: skip
WINDOWS: list[tuple[tuple[Any, ...], dict[str, Any]]] = [
    ((), {}), (("lamps",), {}), (("arm", "lamps"), {}), (("scl", "sda"), {}),
    (("eye_0",), {"cursors": (0.03, 0.04)}), ((LEFT, "battery"), {"begin": 0.01, "seconds": 0.004}),
    (("left_ahead",), {"begin": 0.0, "seconds": 0.4}), ((4,), {"begin": 0.0, "seconds": 1e-7}),
]  # fmt: skip


@pytest.mark.parametrize(("pins", "how"), WINDOWS, ids=str)
def test_texts_neither_overlap_nor_leave_the_picture(
    pins: tuple[Any, ...], how: dict[str, Any]
) -> None:
    drawn = scope(FULL, *pins, **how)
    check_within(drawn)
    check_apart(drawn)
    assert len(drawn.get_label()) > 20


def test_cursors_measure_time_edges_and_volts() -> None:
    told = scope(FULL, "left_ahead", begin=0.01, seconds=0.01, cursors=(0.0105, 0.0155)).get_label()
    assert "5 ms, once in that time is 200 Hz" in told and "rises 5 times" in told
    told = scope(FULL, "eye_0", begin=0.02, seconds=0.1, cursors=(0.0295, 0.0325)).get_label()
    assert "3 samples, 1200 to 1240 counts, mean 1220" in told
    assert f"{adc_volts(1220):.3f} V" in told


def test_counts_are_the_volts_that_the_board_takes_them_for() -> None:
    for count in (0, 1000, 4095):
        told = Converter().microvolts(count, 3) / 1e6
        assert adc_volts(count) == pytest.approx(told, abs=6e-4)
        assert _volts(count) == pytest.approx(told, abs=3e-3)
        assert _counts(told) == pytest.approx(count, abs=3)


def test_readings_are_written_over_their_stretch_of_the_wave() -> None:
    drawn = scope(FULL, "lamps")
    texts = [t.get_text() for t in drawn.axes[0].texts if t.get_gid() == "reading"]
    assert texts == ["80", "FF", "01"] * 5


def test_words_for_times_and_frequencies() -> None:
    assert [in_time(n) for n in (400, 1250, 20 * MS, 2 * SECOND)] == [
        "400 ns", "1.25 µs", "20 ms", "2 s",
    ]  # fmt: skip
    assert [in_hertz(f) for f in (50, 800e3, 40e6)] == ["50 Hz", "800 kHz", "40 MHz"]


def test_words_and_title_tell_each_of_two_duties_and_for_how_long_it_was() -> None:
    made = run(at(0.0, "pwm", LEFT, 1000, 19661), at(0.006, "pwm", LEFT, 1000, 65535))
    both = scope(made, LEFT, begin=0.001, seconds=0.01)
    told = "for 5 ms 1000 pulses a second, each high for 300 µs (30.0 % of the time), then for 5 ms"
    assert f"Left ahead: {told} high all the time." in both.get_label()
    assert any(f"Left ahead: {told}" in text.get_text() for text in both.texts[:1])
    later = scope(made, LEFT, begin=0.007, seconds=0.01).get_label()
    assert "Left ahead: a duty of 100 % has no edges" in later


def test_more_duties_than_can_be_told_one_by_one_are_told_by_the_last_and_since_when() -> None:
    steps = [at(0.01 * k, "pwm", LEFT, 1000, 6000 * (k + 1)) for k in range(6)]
    told = scope(run(*steps), LEFT, begin=0.0, seconds=0.06).get_label()
    assert told.startswith("Left ahead, from 50 ms on: 1000 pulses a second")


def test_what_cannot_be_shown_is_refused_with_what_can() -> None:
    with pytest.raises(UnknownNameError, match="did you mean 'lamps'"):
        scope(FULL, "lamp")
    with pytest.raises(KitError, match="the recording lasts 0.5 s"):
        scope(FULL, "lamps", begin=3.0)
    with pytest.raises(KitError, match="nothing to see"):
        scope(FULL, "lamps", seconds=0)
    with pytest.raises(KitError, match="two cursors"):
        scope(FULL, "lamps", cursors=(1,))
    with pytest.raises(KitError, match="used no pin"):
        scope(run())
