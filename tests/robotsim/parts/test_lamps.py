"""The chain of lamps."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.errors import KitError
from robotsim.parts.lamps import Lamps, decode, hear
from robotsim.parts.quirks import Quirks

DARK = ((0, 0, 0),) * 5


def _lamps(order="GRB"):
    return Lamps(Quirks(0, lamp_order=order), random.Random(0))


def test_all_dark_at_first():
    assert _lamps().shown == DARK


def test_chips_of_two_kinds_read_the_same_bytes_differently():
    data = bytes((1, 2, 3))
    assert _lamps("GRB").frame(data, 1)[0] == (2, 1, 3)
    assert _lamps("RGB").frame(data, 1)[0] == (1, 2, 3)


def test_the_first_three_bytes_are_the_first_lamp_s():
    lamps = _lamps("RGB")
    lamps.frame(bytes(range(15)), 1)
    assert lamps.shown == ((0, 1, 2), (3, 4, 5), (6, 7, 8), (9, 10, 11), (12, 13, 14))


@given(st.binary(max_size=40), st.binary(max_size=40))
def test_a_short_frame_leaves_later_lamps_and_a_cut_pixel_as_they_were(first, second):
    lamps = _lamps("RGB")
    before = list(lamps.frame(first, 1))
    after = lamps.frame(second, 1)
    whole = min(len(second) // 3, 5)
    assert after == tuple(
        [tuple(second[3 * k : 3 * k + 3]) for k in range(whole)] + before[whole:]
    )
    assert lamps.shown == after


def test_what_was_given_out_does_not_change_later():
    lamps = _lamps()
    given_out = lamps.frame(bytes(15), 1)
    lamps.frame(b"\xff" * 15, 1)
    assert given_out == DARK


def test_at_400_khz_every_bit_sent_is_taken_for_a_one():
    lamps = _lamps()
    assert lamps.frame(bytes(6), 0) == ((255, 255, 255),) * 2 + DARK[2:]


@pytest.mark.parametrize("timing", [2, -1, 800])
def test_another_timing_is_refused_with_a_word_on_what_is_accepted(timing):
    with pytest.raises(KitError, match="0 .400 kHz. or 1 .800 kHz."):
        _lamps().frame(bytes(3), timing)


@given(st.binary(max_size=20), st.integers(0, 1))
def test_lamps_show_what_their_chips_hear_on_the_wire(data, timing):
    one, two = _lamps(), _lamps()
    heard = hear(Lamps.waveform(data, timing))
    assert len(heard) == len(data)
    assert one.frame(data, timing) == two.frame(heard, 1)


@given(st.binary(max_size=20))
def test_a_waveform_reads_back_as_its_bytes(data):
    assert decode(Lamps.waveform(data, 1)) == data


@given(st.binary(max_size=20), st.integers(0, 1))
def test_time_on_the_wire_is_the_sum_of_the_waveform(data, timing):
    assert Lamps.frame_ns(data, timing) == sum(ns for _, ns in Lamps.waveform(data, timing))


@given(st.lists(st.tuples(st.integers(0, 1), st.integers(0, 60_000)), max_size=60))
def test_any_waveform_is_read_or_refused_with_a_reason(wave):
    hear(wave)
    try:
        decode(wave)
    except KitError as fault:
        assert "bit" in fault.where and fault.hint


def test_a_frame_without_its_pause_is_refused():
    wave = Lamps.waveform(b"\x55", 1)
    with pytest.raises(KitError, match="to end the frame"):
        decode([*wave[:-1], (0, 450)])


def test_a_frame_cut_within_a_byte_is_refused_by_the_scope_and_lost_to_the_chip():
    wave = Lamps.waveform(b"\xa5\x0f", 1)
    cut = [*wave[:23], (0, 60_000)]  # eleven and a half bits, then silence
    with pytest.raises(KitError, match="within a byte"):
        decode(cut)
    assert hear(cut) == b"\xa5"


def test_only_the_first_frame_is_read():
    wave = Lamps.waveform(b"\x01", 1) + Lamps.waveform(b"\x02", 1)
    assert decode(wave) == hear(wave) == b"\x01"


def test_current_follows_the_colours():
    lamps = _lamps()
    dark = lamps.amps
    lamps.frame(bytes((255, 0, 0)), 1)
    one = lamps.amps - dark
    lamps.frame(bytes((51, 102, 102)), 1)
    assert lamps.amps - dark == pytest.approx(one, rel=1e-9)
