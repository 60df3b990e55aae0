"""The line eyes against what is published of reflectance sensors.

Marks: R read in the published page, T read in a transcription, M from memory,
A arithmetic, P common practice without a source.  The ADC's rows are checked
with the board.
"""

import random
import statistics

import pytest

from robotsim.board import costs
from robotsim.parts.part import FakeSurroundings
from robotsim.parts.quirks import Quirks
from robotsim.parts.reflectance import LineEyes, relative_light
from robotsim.table.floor import PAPER
from robotsim.table.layouts import BLACK, POOR_BLACK
from robotsim.units import seconds
from tests.published.table import Between, Tell

VISHAY = "TCRT5000, Vishay 83760 rev. 1.7 (R)"


def test_the_curve_peaks_at_2_5_mm(tell: Tell):
    heights = [k / 100 for k in range(1, 3000)]
    peak = tell("height of most light, mm", 2.5, max(heights, key=relative_light), VISHAY)
    assert peak == pytest.approx(2.5, abs=0.01)
    assert relative_light(2.5) == pytest.approx(1.0)


def test_more_than_a_fifth_comes_back_from_0_2_to_15_mm_and_not_beyond(tell: Tell):
    heights = [k / 100 for k in range(1, 3000) if relative_light(k / 100) >= 0.2 - 1e-9]
    ends = heights[0], heights[-1]
    assert tell("more than 20 % of it from, to, mm", (0.2, 15.0), ends, VISHAY) == (0.2, 15.0)
    assert len(heights) == 1481
    assert relative_light(0.2) == pytest.approx(0.20)
    assert relative_light(15.0) == pytest.approx(0.20)
    assert relative_light(0.15) < 0.20 > relative_light(16.0)


def test_the_curve_rises_to_its_peak_and_falls_from_it():
    # Shape of the same sheet's figure (R).
    rising = [relative_light(k / 100) for k in range(1, 251)]
    falling = [relative_light(k / 100) for k in range(250, 3000)]
    assert rising == sorted(rising) and falling == sorted(falling, reverse=True)


def test_rise_and_fall_are_too_short_to_matter(tell: Tell):
    # QRE1113: rise and fall 20 us (R).  The board's ADC takes longer than that for one sample,
    # and a tug at 0.5 m/s moves a two-hundredth of the eye's 4 mm spot: so they are left out.
    one = tell("rise and fall 20 us; one conversion, s", Between(20e-6, None),
               seconds(costs.ADC), "QRE1113 (R)")  # fmt: skip
    assert 20e-6 < one
    assert 0.5 * 20e-6 < 0.004 / 200


def test_white_paper_is_that_of_the_white_card(tell: Tell):
    # Kodak white card 90 % (R); common paper is said to return 94 % (M), too near to tell.
    assert tell("white paper returns", 0.90, PAPER, "Kodak white card (R)") == 0.90


def test_drawing_ink_returns_what_ink_returns_and_some_prints_much_more(tell: Tell):
    # 4 to 6 % in visible light (M); in the infrared black inks differ widely (T).
    ours = tell("ink returns", Between(0.04, 0.06), BLACK, "drawing ink (M)")
    assert 0.04 <= ours <= 0.06 and POOR_BLACK > 3 * BLACK


def test_paper_and_ink_stay_within_the_range_that_the_adc_reads_straight(tell: Tell):
    # Espressif ADC guide: at 11 dB straight from 150 to 2450 mV (R).  White paper returns 90 %
    # (Kodak white card, R); black inks differ widely in the infrared (T): 0.2 to 0.35 here.
    for shade, low, high in ((0.9, 0.4, 0.9), (0.35, 1.9, 2.45), (0.25, 2.0, 2.45)):
        eyes = LineEyes(Quirks.of(0), random.Random(1))
        around = FakeSurroundings(shade=shade)
        volts = statistics.fmean(eyes.volts("eye_1", around) for _ in range(100))
        what = "an eye over floors that return 0.9, 0.35, 0.25: V"
        tell(what, Between(0.15, 2.45), volts, "straight range at 11 dB, ADC guide (R)")
        assert low < volts < high and 0.150 < volts < 2.450


def test_no_serial_leaves_the_straight_range_on_white_paper():
    # As above (R); the spread by serial is invented.
    for serial in range(201):
        eyes = LineEyes(Quirks.of(serial), random.Random(1))
        for role in eyes.roles:
            assert 0.150 < eyes.volts(role, FakeSurroundings(shade=0.9)) < 1.5


def test_black_ink_that_is_dark_to_the_eye_need_not_be_dark_to_the_sensor():
    # Ink of 4 to 6 % in visible light (M) may return several times as much infrared (T).
    eyes = LineEyes(Quirks.of(0), random.Random(1))
    visible = eyes.volts("eye_0", FakeSurroundings(shade=0.05))
    infrared = eyes.volts("eye_0", FakeSurroundings(shade=0.30))
    assert visible - infrared > 0.4
