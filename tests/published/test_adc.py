"""The converter against the maker's formula and MicroPython's documentation.

*Source*: Espressif's ADC guide and the MicroPython quick reference for this family (R = read):
V = D Vmax / 4095; recommended ranges 100-950 mV at 0 dB, 100-1250 at 2.5, 150-1750 at 6,
150-2450 at 11.  Error after calibration +-23/30/40/60 mV (T = transcription).  `read_u16` is
raw << 4 | raw >> 8, `read_uv` a multiple of 1000 (R).

That the second converter cannot be used while Wi-Fi is on (R) belongs to the radio; the tug's
analogue pins are all on the first, which tests/robotsim/test_wiring.py holds.
"""

from __future__ import annotations

import pytest

from robotsim import Whose, run_trial
from robotsim.board.adc import FULL_SCALE, counts, microvolts
from robotsim.board.link import Link
from tests.published.table import Between, Tell

RANGES = [(0.10, 0.95), (0.10, 1.25), (0.15, 1.75), (0.15, 2.45)]
CALIBRATED = [0.023, 0.030, 0.040, 0.060]


@pytest.mark.parametrize("attenuation", range(4))
def test_the_formula_holds_within_the_recommended_range(attenuation: int, tell: Tell) -> None:
    low, high = RANGES[attenuation]
    count = FULL_SCALE[attenuation] / 4095
    worst = max(
        abs(counts(mv / 1000, attenuation) * count - mv / 1000)
        for mv in range(round(1000 * low), round(1000 * high) + 1)
    )
    what = "V = D Vmax/4095 at 0, 2.5, 6, 11 dB: counts off within its range"
    off = round(worst / count, 6)
    assert tell(what, Between(None, 0.5), off, "Espressif ADC guide (R)") <= 0.5


@pytest.mark.parametrize("attenuation", range(4))
def test_the_voltage_told_is_within_the_published_error(attenuation: int, tell: Tell) -> None:
    low, high = (round(10_000 * volts) for volts in RANGES[attenuation])
    worst = max(
        abs(microvolts(counts(volts / 10_000, attenuation), attenuation) / 1e6 - volts / 10_000)
        for volts in range(low, high + 1)
    )
    what, most = "error of read_uv at 0, 2.5, 6, 11 dB, V", CALIBRATED[attenuation]
    assert tell(what, Between(None, most), worst, "ADC guide, calibrated (T)") <= most


def test_full_scale_lies_at_the_end_of_the_recommended_range_or_beyond() -> None:
    for top, (_, high) in zip(FULL_SCALE, RANGES, strict=True):
        assert top >= high
    assert counts(3.3, 3) == 4095


@pytest.mark.parametrize("attenuation", range(4))
def test_outside_the_range_the_reading_is_no_longer_to_be_trusted(attenuation: int) -> None:
    """Next to nothing reads as nothing, and at 11 dB the top comes too early."""
    assert counts(0.05, attenuation) == 0
    if attenuation == 3:
        assert counts(2.9, 3) * 3.1 / 4095 > 2.95


def battery(attenuation: int) -> tuple[int, int, int, int]:
    """Give (recorded raw, read, read_u16, read_uv) of the tug's battery pin."""
    text = (
        "from machine import ADC, Pin\n"
        f"adc = ADC(Pin(33), atten={attenuation})\n"
        "print(adc.read())\nprint(adc.read_u16())\nprint(adc.read_uv())\n"
    )
    told = run_trial(text, seconds=0.1)
    (raw,) = {event.raw for event in told.of("adc")}
    read, u16, uv = (int(line) for _, line in told.printed)
    return raw, read, u16, uv


@pytest.mark.parametrize("attenuation", range(4))
def test_a_programs_three_ways_to_read_tell_one_and_the_same(attenuation: int) -> None:
    raw, read, u16, uv = battery(attenuation)
    assert read == raw
    assert u16 == raw << 4 | raw >> 8  # R
    assert uv % 1000 == 0 and uv == microvolts(raw, attenuation)  # R


def test_the_battery_reads_as_half_its_voltage() -> None:
    # 4.8 V nominal by a divider 1:2, less the sag under the board's own current (invented figures).
    _, _, _, uv = battery(3)
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
