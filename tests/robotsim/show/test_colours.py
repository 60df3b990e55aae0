"""Colours of the pictures: they can be read, told apart and named.

The published contrasts and set of colours are checked in tests/published/.
"""

from __future__ import annotations

import pytest
from matplotlib.colors import CSS4_COLORS, to_hex

from checks.readings.colour import described
from robotsim.colour_names import colour_name
from robotsim.show.colours import (
    FLOOR,
    INK,
    NIGHT,
    OKABE_ITO,
    PAPER,
    QUIET,
    contrast,
    lamp_hex,
    lamp_words,
    luminance,
    readable,
)
from robotsim.show.lines import LINES
from robotsim.show.strips import WAKE


@pytest.mark.parametrize("ground", [PAPER, FLOOR])
@pytest.mark.parametrize("text", [INK, QUIET, *(readable(c) for c in OKABE_ITO.values())])
def test_text_has_the_contrast_that_wcag_asks_of_text(text: str, ground: str) -> None:
    # FLOOR is a shade darker than the paper for which `readable` chose
    assert contrast(text, ground) >= (4.5 if ground == PAPER else 4.3)


@pytest.mark.parametrize("line", [line.colour for line in LINES] + [WAKE])
def test_lines_stand_out_three_to_one_from_paper(line: str) -> None:
    assert contrast(line, PAPER) >= 3.0


def test_lines_differ_without_their_colour() -> None:
    assert len({str(line.dashes) for line in LINES}) == len(LINES)
    assert len({line.marker for line in LINES}) == len(LINES)
    assert len({line.colour for line in LINES}) == len(LINES), "and by it, for whoever sees it"


def test_readable_keeps_what_can_be_read_and_lightens_on_dark() -> None:
    assert readable(OKABE_ITO["blue"]) == OKABE_ITO["blue"]
    assert contrast(readable("#222244", NIGHT), NIGHT) >= 4.5


def test_a_lamp_at_half_its_number_gives_half_its_light_on_screen() -> None:
    for level in (1, 20, 64, 128, 254):
        assert luminance(lamp_hex((level,) * 3)) == pytest.approx(level / 255, abs=0.004)
    assert lamp_hex((255, 0, 0)) == "#FF0000"
    assert lamp_hex((0, 0, 0)) == NIGHT


@pytest.mark.parametrize(
    ("css", "name"),
    [("red", "red"), ("orange", "amber"), ("yellow", "yellow"), ("lime", "green"),
     ("green", "green"), ("cyan", "cyan"), ("blue", "blue"), ("navy", "blue"),
     ("hotpink", "pink"), ("white", "white"), ("blueviolet", "violet"), ("black", "dark")],
)  # fmt: skip
def test_names_agree_with_the_named_colours_of_css(css: str, name: str) -> None:
    shade = to_hex(CSS4_COLORS[css])  # CSS Color Module 4, by way of matplotlib
    assert colour_name(tuple(int(shade[k : k + 2], 16) for k in (1, 3, 5))) == name


def test_pictures_and_checks_give_a_lamp_one_name_that_the_lessons_words_bear_out() -> None:
    assert described((100, 40, 0)).startswith("amber") and lamp_words((100, 40, 0)) == "amber 39 %"
    assert lamp_words((255, 191, 0)) == "amber" and lamp_words((255, 198, 0)) == "yellow"
    for colour in ((40, 100, 0), (150, 50, 50), (100, 80, 0), (255, 0, 255), (8, 8, 8)):
        name = described(colour).removeprefix("faint ").removesuffix(f" {colour}")
        assert lamp_words(colour).startswith(name)


def test_lamp_words_tell_the_brightness_only_where_it_is_not_full() -> None:
    assert lamp_words((255, 0, 0)) == "red"
    assert lamp_words((0, 51, 0)) == "green 20 %"
    assert lamp_words((0, 0, 1)) == "blue 1 %"
    assert lamp_words((0, 0, 0)) == "dark"
