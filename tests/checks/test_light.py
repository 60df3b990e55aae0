"""Reading the lamps: lightness, stretches and flashes, held against published figures."""

from __future__ import annotations

import pytest
from PIL import Image, ImageCms

from checks.readings.colour import (
    DARK,
    Colour,
    colour_name,
    described,
    exchanged,
    lightness,
    luminance,
    white,
)
from checks.readings.light import Step, flashing, held, history, lit, longest
from robotsim import Event, Recording


def square(freq_hz: float, *, seconds: float = 5.0, top: int = 255, floor: int = 0) -> list[Step]:
    """Give a lamp that goes on and off evenly."""
    half = 0.5 / freq_hz
    steps = [Step(0.0, DARK)]
    for k in range(int(seconds / half)):
        level = floor if k % 2 else top
        steps.append(Step(0.1 + k * half, (level, level, level)))
    return steps


def shown(*moments: tuple[float, tuple[int, int, int]]) -> Recording:
    """Give a recording in which the mast lamp takes colours at times."""
    events = [
        Event(round(time * 1e9), "lamps", ((DARK, DARK, colour, DARK, DARK),))
        for time, colour in moments
    ]
    return Recording(
        program="p.py", files={}, table="basin", serial=0, seed=0, seconds=4.0, engine="by hand",
        ended="finished", ended_ns=0, problem=None, events=tuple(events), tracks={},
    )  # fmt: skip


@pytest.mark.parametrize(
    ("share", "expected"),
    [
        (0.0, 0.0),
        (1.0, 100.0),
        # CIE ILV 17-23-076 (read): the knee at (6/29)^3 lies at L* = 8; 903.3 is its slope.
        ((6 / 29) ** 3, 8.0),
        (0.001, 0.9033),
        # The grey of lightness 50 returns 18.4 % of the light (from 116 f - 16 = 50: (66/116)^3).
        ((66 / 116) ** 3, 50.0),
    ],
)
def test_lightness_is_that_of_the_cie(share: float, expected: float) -> None:
    assert lightness(share) == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize("grey", [10, 30, 60, 119, 160, 200, 255])
def test_lightness_agrees_with_a_colour_management_library(grey: int) -> None:
    """Little CMS turns sRGB greys into L* by itself; it gives L* in 255 steps."""
    profiles = ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB")
    transform = ImageCms.buildTransform(*profiles, "RGB", "LAB")
    pixel = ImageCms.applyTransform(Image.new("RGB", (1, 1), (grey,) * 3), transform)
    level = grey / 255
    # sRGB to light: IEC 61966-2-1, as WCAG 2.2 prints it.
    light = level / 12.92 if level <= 0.04045 else ((level + 0.055) / 1.055) ** 2.4
    assert lightness(light) == pytest.approx(pixel.getpixel((0, 0))[0] / 2.55, abs=0.5)


def test_luminance_weighs_the_three_colours_as_wcag_does() -> None:
    # WCAG 2.2, relative luminance (read): 0.2126, 0.7152, 0.0722.
    weights = [luminance(c) for c in ((255, 0, 0), (0, 255, 0), (0, 0, 255))]
    assert weights == pytest.approx([0.2126, 0.7152, 0.0722])
    assert luminance((255, 255, 255)) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("name", "colours"),
    [
        ("white", [(1, 1, 1), (100, 100, 100), (70, 100, 100), (100, 70, 70), (100, 100, 70)]),
        ("red", [(255, 0, 0), (100, 12, 0), (100, 0, 12), (100, 12, 12)]),
        ("green", [(0, 128, 0), (12, 100, 0), (0, 100, 12), (12, 100, 12)]),
        ("amber", [(100, 20, 0), (120, 50, 0), (255, 165, 0), (255, 191, 0), (100, 40, 10)]),
        (
            "violet",
            [
                (60, 0, 90),
                (30, 0, 90),
                (238, 130, 238),
                (148, 0, 211),
                (128, 0, 128),
                (138, 43, 226),
            ],
        ),
        ("pale red", [(150, 50, 50)]),
        ("pale amber", [(150, 70, 50)]),
        ("yellow", [(100, 100, 0), (100, 80, 0)]),
        ("blue", [(0, 0, 100), (15, 0, 90)]),
        ("dark", [(0, 0, 0)]),
    ],
)
def test_a_colour_has_the_name_that_the_lessons_words_give_it(
    name: str, colours: list[Colour]
) -> None:
    assert {colour_name(colour) for colour in colours} == {name}


def test_equal_within_seven_tenths_is_always_white() -> None:
    levels = range(70, 101, 6)
    some = ((r, g, b) for r in levels for g in levels for b in levels)
    assert all(white(colour) for colour in some)
    assert white((52, 100, 100)) and not white((45, 100, 100)), "red alone down to a half"
    assert not any(white(colour) for colour in ((100, 60, 60), (60, 100, 60), (60, 60, 100)))


def test_a_colour_that_is_hardly_seen_is_told_as_faint() -> None:
    assert described((1, 1, 1)) == "faint white (1, 1, 1)"
    assert described((40, 40, 40)) == "white (40, 40, 40)"
    assert described((0, 0, 0)) == "dark"
    assert exchanged((120, 50, 0)) == (50, 120, 0)


@pytest.mark.parametrize(("freq_hz", "most"), [(1.0, 1), (2.0, 2), (3.0, 3), (4.0, 4), (10.0, 10)])
def test_flashes_in_a_second_are_counted(freq_hz: float, most: int) -> None:
    # WCAG 2.2, 2.3.1 (read): more than three in any one second fails; 2 Hz passes, 4 Hz fails.
    assert flashing(square(freq_hz)).most == most


def test_a_burst_is_found_wherever_it_falls() -> None:
    quiet = square(0.5, seconds=10.0)
    burst = [Step(20.35 + k * 0.1, (255,) * 3 if k % 2 == 0 else DARK) for k in range(8)]
    found = flashing([*quiet, *burst])
    assert found.most == 4
    assert found.at == pytest.approx(20.35)


def test_a_dim_lamp_flashes_as_much_as_a_bright_one() -> None:
    assert flashing(square(4.0, top=12)).most == flashing(square(4.0)).most


def test_a_ripple_of_less_than_a_tenth_is_no_flash() -> None:
    # WCAG 2.2, definition of a flash (read): changes of 10 % or more count.
    assert flashing(square(10.0, top=255, floor=235)).most == 0
    assert flashing(square(10.0, top=255, floor=225)).most > 3


def test_a_fade_up_and_down_is_one_flash_however_many_steps_it_has() -> None:
    ramp = [*range(0, 256, 5), *range(255, -1, -5)]
    steps = [Step(0.005 * k, (level,) * 3) for k, level in enumerate(ramp)]
    assert flashing(steps).most == 1


def test_a_lamp_that_is_only_switched_on_does_not_flash() -> None:
    assert flashing([Step(0.0, DARK), Step(0.5, (90, 90, 90))]).most == 0
    assert flashing([Step(0.0, DARK)]).most == 0


def test_history_keeps_changes_only() -> None:
    recording = shown((0.5, (9, 9, 9)), (0.6, (9, 9, 9)), (1.0, DARK))
    assert history(recording, 2) == [Step(0.0, DARK), Step(0.5, (9, 9, 9)), Step(1.0, DARK)]
    assert history(recording, 0) == [Step(0.0, DARK)]


def test_shares_of_time_are_cut_to_the_window() -> None:
    steps = history(shown((1.0, (50, 50, 50)), (2.0, (0, 50, 0))), 2)
    assert held(steps, white, 0.0, 4.0) == pytest.approx(0.25)
    assert held(steps, white, 1.5, 2.5) == pytest.approx(0.5)
    assert longest(steps, 0.5, 4.0) == (0, 50, 0)


def test_a_change_of_colour_does_not_cut_a_lit_stretch() -> None:
    stretches = lit(history(shown((1.0, (50, 50, 50)), (2.0, (90, 0, 0)), (2.5, DARK)), 2), 4.0)
    assert [(s.begin, s.length) for s in stretches] == [(1.0, 1.5)]
    assert lit(history(shown((1.0, (5, 5, 5))), 2), 4.0) == []
