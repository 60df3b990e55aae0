"""The slider for the threshold: counts that were read, and what a threshold makes of them."""

from __future__ import annotations

import re

import pytest

from robotsim import KitError
from robotsim.converter import Converter
from robotsim.parts.quirks import Quirks
from robotsim.parts.reflectance import HEIGHT_MM, relative_light
from robotsim.show import threshold_slider
from robotsim.show.threshold_slider import INKS, cross, threshold_figure
from tests.robotsim.show.legible import check_apart, check_within

SETTINGS = [(2048, 7, 0), (0, 0, 0), (4095, 7, 4), (1200, 7, 0), (3000, 30, 4)]


def test_the_eyes_cross_the_line_one_after_the_other_port_first() -> None:
    crossing = cross(0)
    firsts = [next(k for k, over in enumerate(eye) if over == 1.0) for eye in crossing.over]
    assert firsts == sorted(firsts)
    # 12 mm apart, slantwise by 50 degrees: 12 / tan(50) mm of way from one eye to the next.
    ways = [crossing.way[k] for k in firsts]
    assert (ways[3] - ways[0]) / 3 == pytest.approx(12 / 1.19175, abs=0.7)


def test_the_unequal_eyes_of_a_tug_show_and_those_of_the_drawing_are_alike() -> None:
    for serial, spread in ((0, 60), (30, 900)):
        whites = [min(counts) for counts in cross(serial).counts]
        gains = Quirks.of(serial).eye_gain
        assert (max(whites) - min(whites) < 60) is (spread == 60)
        assert whites.index(min(whites)) == gains.index(max(gains)) or serial == 0


def test_a_poorer_ink_lowers_the_highest_threshold() -> None:
    highest = [max(t for t in range(2000, 4000, 20) if all(
        cross(7, seed).fits(eye, t) for eye in range(4))) for seed in INKS.values()]  # fmt: skip
    assert highest[1] < highest[0] - 400


@pytest.mark.parametrize("setting", SETTINGS, ids=str)
def test_texts_of_the_picture_neither_overlap_nor_leave_it(setting: tuple[int, int, int]) -> None:
    drawn = threshold_figure(*setting)
    check_within(drawn)
    check_apart(drawn)


def test_the_words_tell_which_eyes_a_threshold_fails() -> None:
    assert "every eye tells the line from the paper" in threshold_figure(2048, 7).get_label()
    # A converter's 10 counts of noise, and the light of the room, stay below 100 counts.
    white = [_counts(7, eye, 0.9) for eye in range(4)]
    low = threshold_figure(round(min(white[0], white[3])) - 100, 7).get_label()
    assert "eyes 0 and 3 do not tell" in low
    assert max(white[1], white[2]) < min(white[0], white[3]) - 200
    lowest = int(re.search(r"eye 1 reads (\d+)", low)[1])
    assert lowest == pytest.approx(white[1], abs=100), "white of eye 1 on tug 7"


def _counts(serial: int, eye: int, shade: float) -> float:
    """Give what an eye reads over a shade, as its part and the converter have it."""
    quirks, light = Quirks.of(serial), relative_light(HEIGHT_MM)
    pulled = quirks.eye_gain[eye] * (2.49 * light * shade + 0.30)
    volts = 3.3 - quirks.eye_offset[eye] - pulled
    return Converter(quirks.adc_reference, quirks.adc_off).count(volts, 3)


def test_dark_is_drawn_exactly_where_the_count_is_above_the_threshold() -> None:
    crossing = cross(7)
    for threshold in (1200, 2048, 3600):
        for counts in crossing.counts:
            dark = threshold_slider._stretches(crossing.way, counts, threshold)
            for here, count in zip(crossing.way[:-1], counts[:-1], strict=True):
                assert any(a <= here < b for a, b in dark) is (count > threshold)


@pytest.mark.parametrize("bad", [-1, 5000, 65535])
def test_what_is_no_count_is_refused(bad: int) -> None:
    with pytest.raises(KitError, match="0 to 4095"):
        threshold_figure(bad, 7)


def test_a_new_picture_needs_no_new_run_of_the_tug(monkeypatch: pytest.MonkeyPatch) -> None:
    """How long that takes is told by tests/benchmarks."""
    threshold_figure(2000, 7)
    monkeypatch.setattr(threshold_slider, "run_trial", None)
    for threshold in (1000, 2500):
        threshold_figure(threshold, 7)
