"""The tasks of the lesson `turn`: the bus, the turns, and what is made of them."""

from __future__ import annotations

import math

import pytest

from checks import check
from checks.readings.sensors import (
    LSB_PER_DEG,
    Sample,
    bus,
    heading_deg,
    printed,
    rests,
    true_rate,
)
from checks.tasks.turn.sensing import MIDDLE, PORT_BIAS, STARBOARD_BIAS
from checks.tasks.turn.turns import added, turns_of
from robotsim import Recording, run_trial
from robotsim.parts.quirks import Quirks
from robotsim.recording import Event
from robotsim.units import ns
from tests.checks.tasks.judging import findings
from tests.checks.tuning import worked
from tests.robotsim.show.recordings import motors, recording

PORT = ((0.0, 0.0), (1.0, 0.6), (1.0, 0.6))
QUARTER = math.pi / 2


def wire(at: float, written: str, read: str = "", address: int = 0x68) -> Event:
    """Give one transfer on the bus."""
    return Event(ns(at), "i2c", (address, written, read))


def line(at: float, text: str) -> Event:
    """Give one printed line."""
    return Event(ns(at), "print", (text + "\n",))


# -- the bus -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("high", "low", "number"),
    [
        (0x40, 0x00, 16384),
        (0xC0, 0x00, -16384),
        (0x80, 0x00, -32768),
        (0xFF, 0xFF, -1),
        (0x7F, 0xFF, 32767),
        (0xFF, 0x38, -200),  # the lesson's own example
    ],
)
def test_two_bytes_are_one_number_high_byte_first_in_twos_complement(
    high: int, low: int, number: int
) -> None:
    # RM-MPU-6000A r4.2 (read): 16-bit two's complement, the high byte in the lower register;
    # 4000h, C000h, 8000h and FFFFh by arithmetic.
    assert Sample(0.0, high, low, 131.0, True).raw == number


def test_the_scales_are_the_published_ones() -> None:
    # PS-MPU-6000A r3.4, gyroscope sensitivity (read).
    assert LSB_PER_DEG == (131.0, 65.5, 32.8, 16.4)


def test_a_register_is_followed_through_every_way_of_reading_it() -> None:
    made = recording(
        events=[
            wire(0.1, "6b00"),  # awake
            wire(0.2, "47", "0102"),  # both bytes
            wire(0.3, "3b", "00" * 12 + "0304"),  # all fourteen
            wire(0.4, "47", ""), wire(0.401, "", "0506"),  # the register first, then the bytes
            wire(0.5, "47", "07"), wire(0.5005, "48", "08"),  # one by one
            wire(0.6, "48", "0a"), wire(0.6005, "47", "09"),  # the low one first
            wire(0.7, "43", "0000" + "0000" + "0b0c"),  # the pointer moves on by itself
            wire(0.8, "47", "0d0e", address=0x69),  # somebody else's
            wire(0.9, "43", "0f10"),  # another axis
        ]
    )  # fmt: skip
    pairs = [(sample.high, sample.low) for sample in bus(made).samples]
    assert pairs == [(1, 2), (3, 4), (5, 6), (7, 8), (9, 10), (11, 12)]


def test_sleep_reset_and_range_are_followed() -> None:
    made = recording(
        events=[
            wire(0.1, "47", "0000"),
            wire(0.2, "1b08"), wire(0.25, "6b01"), wire(0.3, "47", "0001"),
            wire(0.4, "6b41"), wire(0.5, "47", "0001"),
            wire(0.6, "6b80"), wire(0.7, "47", "0000"),
            wire(0.8, "6b00"), wire(0.9, "47", "0001"),
        ]
    )  # fmt: skip
    # RM-MPU-6000A r4.2 (read): asleep after power-up and after a reset.
    assert [s.awake for s in bus(made).samples] == [False, True, False, False, True]
    # Range bits 4:3 of 0x1B (from memory); a reset clears them.
    assert [s.lsb for s in bus(made).samples] == [131.0, 65.5, 65.5, 131.0, 131.0]


def test_the_bias_that_is_measured_is_the_one_that_the_tug_has() -> None:
    for serial in (PORT_BIAS, STARBOARD_BIAS):
        program = worked("turn.rate")
        made = run_trial(program, program="rate.py", serial=serial, seconds=7, start=MIDDLE)
        own = math.degrees(Quirks.of(serial).gyro_bias[2])
        assert abs(own) > 4.0, "the fixed tugs must show a bias that cannot be overlooked"
        assert bus(made).bias(made) == pytest.approx(own, abs=0.05)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("rate 12.5", 12.5), ("rate: -3", -3.0), ("  Rate = +1e2 deg/s", 100.0),
        ("rate 0x68", 104.0), ("rate 12.", 12.0),
    ],
)  # fmt: skip
def test_a_number_is_read_behind_its_word(text: str, value: float) -> None:
    assert [found.value for found in printed(recording(events=[line(1.0, text)]), "rate")] == [
        value
    ]


@pytest.mark.parametrize("text", ["rates 5", "rate nan", "rate inf", "the rate 5", "rate", "5"])
def test_other_lines_are_left_alone(text: str) -> None:
    assert printed(recording(events=[line(1.0, text)]), "rate") == []


# -- turns -------------------------------------------------------------------


def test_the_true_rate_and_heading_are_those_of_the_track() -> None:
    made = recording(legs=[(1.0, 0.0, 0.0), (2.0, 0.0, math.radians(45.0))])
    assert true_rate(made, 2.0) == pytest.approx(45.0, abs=0.01)
    assert true_rate(made, 0.5) == 0.0
    assert heading_deg(made, 5.0) == pytest.approx(90.0, abs=0.01)


def test_a_small_correction_belongs_to_the_turn_that_it_corrects() -> None:
    made = recording(
        seconds=8.0,
        legs=[
            (1.0, 0.0, 0.0), (1.0, 0.0, QUARTER), (0.5, 0.0, 0.0),
            (0.1, 0.0, -math.radians(20.0)), (0.5, 0.0, 0.0), (1.0, 0.0, -QUARTER),
        ],
    )  # fmt: skip
    assert [rest.heading for rest in rests(made)] == pytest.approx([0.0, 88.0, -2.0], abs=0.01)


@pytest.mark.parametrize("pause", [0.0, 0.03, 0.1, 0.24, 0.26, 0.5])
def test_where_it_turns_back_it_rested_however_shortly(pause: float) -> None:
    legs = [(1.0, 0.0, QUARTER), (pause, 0.0, 0.0), (1.0, 0.0, -QUARTER)]
    found = rests(recording(legs=[(0.5, 0.0, 0.0), *legs]))
    assert [rest.heading for rest in found] == pytest.approx([0.0, 90.0, 0.0], abs=1.0)


@pytest.mark.parametrize(("pause", "heads"), [(0.1, [0.0, 90.0]), (0.4, [0.0, 45.0, 90.0])])
def test_a_short_rest_on_the_way_is_none(pause: float, heads: list[float]) -> None:
    legs = [(0.5, 0.0, QUARTER), (pause, 0.0, 0.0), (0.5, 0.0, QUARTER)]
    found = rests(recording(legs=[(0.5, 0.0, 0.0), *legs]))
    assert [rest.heading for rest in found] == pytest.approx(heads, abs=1.0)


def test_a_turn_is_cut_where_its_sense_changes() -> None:
    events = [
        *motors(1.0, (0.0, 1.0), (1.0, 0.0)),
        *motors(2.0, (1.0, 0.0), (0.0, 1.0)),
        *motors(3.0, (0.0, 0.0), (0.0, 0.0)),
    ]
    turns = [(1.0, 0.0, 0.0), (1.0, 0.0, QUARTER), (1.0, 0.0, -QUARTER)]
    found = turns_of(recording(legs=turns, events=events))
    assert [(leg.begin, leg.end, leg.way) for leg in found] == [(1.0, 2.0, 1), (2.0, 3.0, -1)]


def test_the_replayed_sum_is_rate_times_time_less_bias() -> None:
    # 131 counts are 1 deg/s, 1310 are 10; two at rest, then ten in one second.
    reads = [wire(0.05, "6b00"), wire(0.2, "47", "0083"), wire(0.4, "47", "0083")]
    reads += [wire(1.0 + k / 10, "47", "05a1") for k in range(1, 11)]
    turning = motors(1.0, (0.0, 1.0), (1.0, 0.0)) + motors(2.0, (0.0, 0.0), (0.0, 0.0))
    made = recording(legs=[(1.0, 0.0, 0.0), (1.0, 0.0, math.radians(10.0))], events=reads + turning)
    (leg,) = turns_of(made)
    assert added(leg, lambda s: s.raw)[-1] == pytest.approx(10.0, abs=0.01)
    assert added(leg, lambda s: s.raw, bias=False)[-1] == pytest.approx(11.0, abs=0.01)


def _quarters(port: float, back: float, told: tuple[float, float]) -> Recording:
    """Give a recording of two turns in a second each, in degrees, with what was printed."""
    return recording(
        seconds=8.0,
        legs=[
            (1.0, 0.0, 0.0), (1.0, 0.0, math.radians(port)), (1.0, 0.0, 0.0),
            (1.0, 0.0, math.radians(back)),
        ],
        events=[
            wire(0.1, "6b00"), wire(0.5, "47", "0001"),
            line(2.6, f"turned {told[0]}"), line(4.6, f"turned {told[1]}"),
        ],
    )  # fmt: skip


@pytest.mark.parametrize(("off", "share"), [(0.0, 1.0), (1.9, 1.0), (-1.9, 1.0), (4.0, 0.5)])
def test_two_degrees_are_free_and_six_earn_nothing(off: float, share: float) -> None:
    found = findings("turn.quarter", _quarters(90 + off, -90, (90 + off, -90)))
    assert found["It turns a quarter to port"].share == pytest.approx(share, abs=0.01)
    assert found["It turns a quarter back"].share == 1.0
    assert found["It knows how far it turned"].share == 1.0


@pytest.mark.parametrize(("pause", "share"), [(0.5, 1.0), (0.28, 0.57), (0.23, 0.47), (0.0, 0.0)])
def test_a_rest_loses_what_it_lacks_and_nothing_else(pause: float, share: float) -> None:
    port, back = ((0.5, 1.0), (1.0, 0.5)), ((1.0, 0.5), (0.5, 1.0))
    off = ((0.0, 0.0), (0.0, 0.0))
    drive = [
        *motors(1.0, *port), *motors(2.0, *off),
        *motors(2.0 + pause, *back), *motors(3.0 + pause, *off),
    ]  # fmt: skip
    made = recording(
        seconds=8.0,
        legs=[
            (1.0, 0.0, 0.0), (1.0, 0.0, QUARTER), (pause, 0.0, 0.0), (1.0, 0.0, -QUARTER),
        ],
        events=[
            wire(0.1, "6b00"), wire(0.5, "47", "0001"), *drive,
            line(1.99 + pause, "turned 90.0"), line(4.6, "turned -90.0"),
        ],
    )  # fmt: skip
    found = findings("turn.quarter", made)
    assert found["It rests between the turns"].share == pytest.approx(share, abs=0.03)
    others = {title: one.share for title, one in found.items() if "rests" not in title}
    assert all(part == 1.0 for part in others.values()), others


def test_one_number_for_every_turn_on_every_tug_was_not_added_up() -> None:
    made = [_quarters(90 + off, -90 - off, (90, -90)) for off in (-1.0, 0.5, 1.5)]
    found = findings("turn.quarter", *made)["It knows how far it turned"]
    assert found.share == 0.0 and "on every tug" in found.measured
    own = [_quarters(90 + off, -90 - off, (90 + off, -90 - off)) for off in (-1.0, 0.5, 1.5)]
    assert findings("turn.quarter", *own)["It knows how far it turned"].share == 1.0


@pytest.mark.parametrize(("wait", "share"), [(0.1, 1.0), (0.05, 0.75), (0.02, 0.6), (0.0, 0.5)])
def test_the_wait_after_waking_is_held_as_it_is_asked(wait: float, share: float) -> None:
    made = recording(events=[wire(0.1, "6b00"), wire(0.1 + wait, "47", "0001")])
    found = findings("turn.identify", made)["It wakes the sensor first"]
    assert found.share == pytest.approx(share, abs=0.02)


def test_what_it_says_is_held_against_the_turn_and_the_turn_against_ninety() -> None:
    found = findings("turn.quarter", _quarters(80, -80, (90, -90)))
    assert found["It turns a quarter to port"].share == 0.0
    assert found["It knows how far it turned"].share == 0.0
    assert "it had turned 80.0" in found["It knows how far it turned"].measured


def test_a_turn_to_starboard_first_earns_nothing_for_its_angle() -> None:
    found = findings("turn.quarter", _quarters(-90, 90, (90, -90)))
    assert found["It turns a quarter to port"].share == 0.0
    assert "90.0 degrees to starboard" in found["It turns a quarter to port"].measured


def test_turns_without_a_sensor_that_is_awake_earn_nothing() -> None:
    made = _quarters(90, -90, (90, -90))
    blind = recording(
        seconds=8.0,
        legs=[
            (1.0, 0.0, 0.0), (1.0, 0.0, QUARTER), (1.0, 0.0, 0.0), (1.0, 0.0, -QUARTER),
        ],
        events=[event for event in made.events if event.kind == "print"],
    )  # fmt: skip
    assert findings("turn.quarter", blind)["It turns, and reads the sensor"].share == 0.0


def test_each_further_turn_than_two_costs_the_way_back() -> None:
    turns = [leg for way in (1, -1, 1) for leg in ((1.0, 0.0, way * QUARTER), (1.0, 0.0, 0.0))]
    made = recording(
        seconds=9.0,
        legs=[(0.5, 0.0, 0.0), *turns],
        events=[wire(0.1, "6b00"), wire(0.2, "47", "0001")],
    )
    assert findings("turn.quarter", made)["It turns a quarter back"].share == 0.0


# -- whole programs ----------------------------------------------------------


def test_to_starboard_first_is_not_the_order_that_was_asked() -> None:
    text = worked("turn.rate").replace("(0.4, 0, -0.4, 0)", "(-0.4, 0, 0.4, 0)")
    card = check("turn.rate", files={"rate.py": text}, serial=7)
    lost = {row.criterion.title for row in card.rows if not row.full}
    assert lost == {"It turns, rests, turns back and rests"}


def test_the_same_numbers_on_every_tug_earn_nothing() -> None:
    text = worked("turn.rate").replace("rate() - bias)", "(rate() * 0 + 375 * effort))")
    assert "375" in text
    card = check("turn.rate", files={"rate.py": text}, serial=7)
    assert card.points == 0.0
    assert card.cause is not None and "follow no reading" in card.cause.name


def test_a_raw_number_that_was_guessed_among_many_earns_nothing() -> None:
    text = worked("turn.identify").replace(
        'print("raw", raw)', 'for guess in range(20, 120):\n    print("raw", guess)'
    )
    card = check("turn.identify", files={"identify.py": text}, serial=7)
    row = next(r for r in card.rows if r.criterion.title == "It prints one raw rate, with its sign")
    assert row.points == 0.0


@pytest.mark.parametrize("scaled", ["raw / 131", "round(raw / 131, 3)"])
def test_degrees_a_second_in_place_of_the_raw_number_are_named(scaled: str) -> None:
    text = worked("turn.identify").replace('print("raw", raw)', f'print("raw", {scaled})')
    card = check("turn.identify", files={"identify.py": text}, serial=7)
    lost = {row.criterion.title for row in card.rows if not row.full}
    assert lost == {"It prints one raw rate, with its sign"}
    assert card.cause and card.cause.name == "degrees a second in place of the raw number"
