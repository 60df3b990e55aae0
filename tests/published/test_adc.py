"""The converter against its maker's calibration and MicroPython's documentation.

*Source*: the maker's public calibration source for this family (R = read): a line of
scale x reference / 65536 / 4096 mV a count from an offset on, and at 11 dB a table beyond 2880
counts for chips of 1000 and of 1200 mV.  ADC guide (R): recommended ranges 100-950 mV at 0 dB,
100-1250 at 2.5, 150-1750 at 6, 150-2450 at 11; reference 1000 to 1200 mV.  Error after calibration
+-23/30/40/60 mV (T = transcription).  `read_u16` is raw << 4 | raw >> 8, `read_uv` a multiple of
1000 (R).  Noise +-25 counts with a constant input: a university course's notes on this converter
(IoT49, R); 10 to 20 counts rms (M = from memory).

That the second converter cannot be used while Wi-Fi is on (R) belongs to the radio; the tug's
analogue pins are all on the first, which tests/robotsim/test_wiring.py holds.
"""

from __future__ import annotations

import random
import statistics

import pytest

from robotsim import Whose, run_trial
from robotsim.board.link import Link
from robotsim.chance import Noise
from robotsim.converter import OFFSETS, STEPS, Converter
from robotsim.parts.quirks import Quirks
from tests.published.table import Between, Tell

RANGES = [(0.10, 0.95), (0.10, 1.25), (0.15, 1.75), (0.15, 2.45)]
CALIBRATED = [0.023, 0.030, 0.040, 0.060]
CALIBRATION = "the maker's calibration source (R)"
BENT = {1.0: (2240, 2512, 2754, 2937, 3060), 1.2: (2667, 2844, 2982, 3110, 3209)}
"""Volts of the reference, and mV at 2880, 3200, 3520, 3840 and 4096 counts at 11 dB (R)."""


def of_tug(serial: int) -> Converter:
    quirks = Quirks.of(serial)
    return Converter(quirks.adc_reference, quirks.adc_off)


def test_offset_and_step_of_the_four_attenuations(tell: Tell) -> None:
    offsets = [round(1000 * volts) for volts in OFFSETS]
    what = "offset at 0, 2.5, 6, 11 dB, mV"
    assert tell(what, (75, 78, 107, 142), tuple(offsets), CALIBRATION) == (75, 78, 107, 142)
    assert tell("mV a count at 11 dB, 1100 mV", 0.80566, 1100 * STEPS[3], "the same (A)") == (
        pytest.approx(0.80566, abs=1e-4)
    )
    board = Converter()
    for attenuation, (low, high) in enumerate(RANGES):
        for mv in range(round(1000 * low), round(1000 * high) + 1):
            due = (mv / 1000 - OFFSETS[attenuation]) / (1.1 * STEPS[attenuation])
            assert abs(board.count(mv / 1000, attenuation) - max(due, 0.0)) <= 0.5 + 1e-9


@pytest.mark.parametrize("reference", BENT)
def test_beyond_the_straight_range_at_11_db_the_counts_bend(reference: float, tell: Tell) -> None:
    board = Converter(reference)
    places = (2880, 3200, 3520, 3840, 4096)
    ours = [round(1000 * board.volts(count, 3)) for count in places]
    what = f"mV at 2880, 3200, 3520, 3840, 4096 counts, {1000 * reference:.0f} mV"
    assert tell(what, BENT[reference], tuple(ours), CALIBRATION) == pytest.approx(
        BENT[reference], abs=25
    )


def test_no_tug_s_reference_is_beyond_what_chips_have(tell: Tell) -> None:
    found = [Quirks.of(serial).adc_reference for serial in range(201)]
    assert tell("reference, least, V", Between(1.0, 1.2), min(found), "ADC guide (R)") >= 1.0
    assert tell("reference, most, V", Between(1.0, 1.2), max(found), "ADC guide (R)") <= 1.2
    assert found[0] == 1.1 and max(found) - min(found) > 0.05


@pytest.mark.parametrize("attenuation", range(4))
def test_the_voltage_told_is_within_the_published_error(attenuation: int, tell: Tell) -> None:
    low, high = (round(1000 * volts) for volts in RANGES[attenuation])
    worst = 0.0
    for board in map(of_tug, range(201)):
        for volts in range(low, high + 1, 50):
            # Below its offset a board gives 0, as the guide's range for all chips allows for.
            if volts / 1000 + board.off > OFFSETS[attenuation]:
                told = board.microvolts(board.count(volts / 1000, attenuation), attenuation)
                worst = max(worst, abs(told / 1e6 - volts / 1000))
    what, most = "error of read_uv at 0, 2.5, 6, 11 dB, V", CALIBRATED[attenuation]
    assert tell(what, Between(None, most), worst, "ADC guide, calibrated (T)") <= most


def test_noise_of_a_constant_input(tell: Tell) -> None:
    board = Converter(noise=Noise(random.Random(5)))
    seen = [board.count(1.5, 3, 36, 60_000 * k) for k in range(3000)]
    rms = statistics.stdev(seen)
    assert tell("noise, counts rms", Between(10, 20), rms, "(M)") == pytest.approx(10, rel=0.05)
    middle = statistics.fmean(seen)
    within = sum(abs(count - middle) <= 25 for count in seen) / len(seen)
    assert tell("within +-25 counts, share", Between(0.97, 1.0), within, "IoT49 (R)") > 0.97


@pytest.mark.parametrize("attenuation", range(4))
def test_outside_the_range_the_reading_is_no_longer_to_be_trusted(attenuation: int) -> None:
    """Next to nothing reads as nothing, and at 11 dB each count means less and less."""
    board = Converter()
    assert board.count(0.05, attenuation) == 0 and board.count(3.3, 3) == 4095
    assert board.volts(4095, 3) - board.volts(4000, 3) < 0.6 * (
        board.volts(1095, 3) - board.volts(1000, 3)
    )


def battery(attenuation: int) -> list[tuple[int, int]]:
    """Give (recorded raw, told) of the tug's battery pin by read, read_u16 and read_uv."""
    text = (
        "from machine import ADC, Pin\n"
        f"adc = ADC(Pin(33), atten={attenuation})\n"
        "print(adc.read())\nprint(adc.read_u16())\nprint(adc.read_uv())\n"
    )
    told = run_trial(text, seconds=0.1)
    raws = [event.raw for event in told.of("adc")]
    return list(zip(raws, (int(line) for _, line in told.printed), strict=True))


@pytest.mark.parametrize("attenuation", range(4))
def test_a_programs_three_ways_to_read_tell_what_was_sampled(attenuation: int) -> None:
    (raw, read), (raw_u16, u16), (raw_uv, uv) = battery(attenuation)
    assert read == raw
    assert u16 == raw_u16 << 4 | raw_u16 >> 8  # R
    assert uv % 1000 == 0 and uv == Converter().microvolts(raw_uv, attenuation)  # R


def test_the_battery_reads_as_half_its_voltage() -> None:
    # 4.8 V nominal by a divider 1:2, less the sag under the board's own current (invented figures).
    *_, (_, uv) = battery(3)
    assert 2 * uv / 1e6 == pytest.approx(4.8, abs=0.12)


@pytest.mark.parametrize(("raw", "u16"), [(0, 0), (1, 16), (2048, 32776), (4095, 65535)])
def test_twelve_bits_are_spread_over_sixteen_as_published(raw: int, u16: int, tell: Tell) -> None:
    # R: a program on its board, whose converter gives the raw number.
    text = "from machine import ADC, Pin\nprint(ADC(Pin(36)).read_u16())\n"
    with Link({"main.py": text}, "main.py", "cpython", whose=Whose.KIT) as link:
        heard = [link.next(), link.next()]  # the first after what its import took
        assert [line.partition(b" ")[2] if line[:1] == b"+" else line for line in heard] == [
            b"a 36 0", b"A 36",
        ]  # fmt: skip
        link.reply(b"=%d" % raw)
        printed = int(link.next().split(b'"')[1][:-2])
    assert tell("read_u16 of 0, 1, 2048, 4095", u16, printed, "MicroPython source (R)") == u16
