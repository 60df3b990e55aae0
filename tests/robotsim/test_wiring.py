"""Wiring: the pin table fits the board, and a signal means what it says."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.parts import PARTS
from robotsim.wiring import FLOATING, LAMPS, PINS, Signal, duty_share

INPUT_ONLY = {34, 35, 36, 37, 38, 39}
"""MicroPython quick reference for this family of boards (read)."""
SECOND_CONVERTER = {0, 2, 4, 12, 13, 14, 15, 25, 26, 27}
"""Unusable for analogue readings while Wi-Fi is on: MicroPython quick reference (read)."""
FLASH = {6, 7, 8, 9, 10, 11}
"""The pins of the board's own flash memory: MicroPython quick reference (from memory)."""
OUTPUTS = {"lamps", "arm", "left_ahead", "left_back", "right_ahead", "right_back", "scl", "sda"}
ANALOGUE = {"battery", "eye_0", "eye_1", "eye_2", "eye_3"}


def test_no_pin_has_two_roles_and_none_belongs_to_the_boards_memory() -> None:
    assert len(set(PINS.values())) == len(PINS)
    assert not FLASH & set(PINS.values())


def test_what_the_board_drives_hangs_on_pins_that_can_put_out() -> None:
    assert not INPUT_ONLY & {PINS[role] for role in OUTPUTS}


def test_what_is_read_in_volts_still_works_when_the_radio_is_on() -> None:
    assert not SECOND_CONVERTER & {PINS[role] for role in ANALOGUE}


def test_the_bumpers_pin_has_a_pull_up_inside() -> None:
    assert PINS["bumper"] not in INPUT_ONLY, "input-only pins have no pull (quick reference, read)"


def test_every_role_is_accounted_for_and_every_part_hangs_on_known_pins() -> None:
    assert PINS.keys() == OUTPUTS | ANALOGUE | {"bumper"}
    for part in PARTS.values():
        assert set(part.roles) <= PINS.keys()


def test_there_is_a_name_for_each_of_the_five_lamps() -> None:
    assert len(LAMPS) == len(set(LAMPS)) == 5


@given(st.integers(0, 65535), st.integers(0, 65535))
def test_a_greater_duty_is_a_greater_share_up_to_all_of_it(one: int, other: int) -> None:
    low, high = sorted((one, other))
    assert 0.0 <= duty_share(low) <= duty_share(high) <= 1.0
    assert duty_share(0) == 0.0 and duty_share(65535) == 1.0
    assert duty_share(32768) == 0.5


@given(st.floats(0, 1), st.floats(1, 40e6))
def test_a_pulse_is_its_share_of_the_cycle(duty: float, freq: float) -> None:
    assert Signal(duty, freq).pulse_s * freq == pytest.approx(duty)
    assert Signal(duty, 0.0).pulse_s == FLOATING.pulse_s == 0.0
