"""Lamps and pictures against the rule of the road, WCAG and a published set of colours.

*Source*: COLREGs, rules 21 and 23(d) (R = read): starboard green, port red, stern white, masthead
white.  WCAG 2.2 (R): contrast (L1 + 0.05) / (L2 + 0.05), no more than three flashes in any one
second; the contrasts of these pairs follow from its formula (A).  Okabe and Ito, Color Universal
Design (T).  IEC 61966-2-1 (M = from memory): chromaticities of a screen's primaries and white.
COLREGs, Annex I, 7 (R): the corners of the white of ships' lights.  CSS Color (M): violet is
(238, 130, 238).  The sectors of rule 21 (112.5 and 135 degrees) have no check: the toy lamps shine
all round, and the lesson says so.
"""

from __future__ import annotations

from functools import cache

import pytest

from checks.readings.colour import chromaticity, colour_name
from checks.readings.light import flashing, history
from checks.tasks import TASKS
from robotsim import Recording, run_trial
from robotsim.show.colours import OKABE_ITO, contrast
from robotsim.wiring import LAMPS
from tests.published.table import Between, Tell

WCAG = {"#000000": 21.0, "#767676": 4.542, "#777777": 4.478, "#FF0000": 3.998, "#0000FF": 8.592}
OKABE = "000000 0072B2 009E73 56B4E9 CC79A7 D55E00 E69F00 F0E442"
RULE = {"port bow": "red", "starboard bow": "green", "stern": "white", "mast": "white"}
COLOURS = {"red": (99, 0, 0), "green": (0, 99, 0), "white": (99, 99, 99)}
SHOW = """
import time
from machine import Pin
from neopixel import NeoPixel

chain = NeoPixel(Pin(13), 5)
while True:
    for colour in {colours}:
        chain.fill(colour)
        chain.write()
        time.sleep_us({each_us})
"""


@cache
def shown(each_us: int, *colours: tuple[int, int, int]) -> Recording:
    """Give what came of a program that shows colours in turn."""
    return run_trial(SHOW.format(colours=colours, each_us=each_us), seconds=3.0)


@pytest.mark.parametrize("lamp", RULE)
def test_the_check_asks_for_the_running_lights_of_the_rule(lamp: str, tell: Tell) -> None:
    (asks,) = [c for c in TASKS["lamps.side"].criteria if c.title.startswith(f"The {lamp} ")]
    accepted = [
        name
        for name, colour in COLOURS.items()
        if asks.judge(TASKS["lamps.side"].facts((shown(10**7, colour),))).share == 1.0
    ]
    rule = "COLREGs 21, 23(d) (R)"
    assert tell(f"the {lamp} lamp", RULE[lamp], " ".join(accepted), rule) == RULE[lamp]


# -- colours -----------------------------------------------------------------

IEC_61966_2_1 = {
    (255, 0, 0): (0.6400, 0.3300),
    (0, 255, 0): (0.3000, 0.6000),
    (0, 0, 255): (0.1500, 0.0600),
    (255, 255, 255): (0.3127, 0.3290),
}
WHITE_OF_SHIPS = ((0.525, 0.382), (0.525, 0.440), (0.452, 0.440), (0.310, 0.348), (0.310, 0.283),
                  (0.443, 0.382))  # fmt: skip


def xy(colour: tuple[int, int, int]) -> tuple[float, float]:
    """Give x and y for our u' and v': CIE 15, x = 9 u' / (6 u' - 16 v' + 12), y = 4 v' / (...)."""
    u, v = chromaticity(colour)
    whole = 6 * u - 16 * v + 12
    return 9 * u / whole, 4 * v / whole


@pytest.mark.parametrize("colour", IEC_61966_2_1)
def test_the_lamps_primaries_are_those_of_a_screen(
    colour: tuple[int, int, int], tell: Tell
) -> None:
    published, source = IEC_61966_2_1[colour], "IEC 61966-2-1 (M)"
    ours = tell(f"x, y of {colour}", published, xy(colour), source)
    assert ours == pytest.approx(published, abs=5e-4)


@pytest.mark.parametrize(
    ("colour", "inside"),
    [
        ((100, 100, 100), True), ((100, 90, 90), True), ((150, 50, 50), False),
        ((100, 100, 0), False),
    ],
)  # fmt: skip
def test_white_is_white_where_the_rule_of_the_road_says_so(
    colour: tuple[int, int, int], inside: bool, tell: Tell
) -> None:
    """Ships' white reaches far towards amber, as filament lamps do; ours stays near the middle."""
    x, y = xy(colour)
    sides = zip(WHITE_OF_SHIPS, WHITE_OF_SHIPS[1:] + WHITE_OF_SHIPS[:1], strict=True)
    crossed = sum(
        (a[1] > y) != (b[1] > y) and x < a[0] + (y - a[1]) * (b[0] - a[0]) / (b[1] - a[1])
        for a, b in sides
    )
    assert (crossed % 2 == 1) is inside, "the case stands where the rule has it"
    ours = colour_name(colour) == "white"
    assert tell(f"{colour} is white", inside, ours, "COLREGs Annex I, 7 (R)") is inside


def test_violet_of_named_screen_colours_is_violet(tell: Tell) -> None:
    assert (
        tell("(238, 130, 238)", "violet", colour_name((238, 130, 238)), "CSS Color (M)") == "violet"
    )


@pytest.mark.parametrize(("freq_hz", "passes"), [(2, True), (3, True), (4, False)])
def test_more_than_three_flashes_in_a_second_are_too_many(
    freq_hz: int, passes: bool, tell: Tell
) -> None:
    told = shown(500_000 // freq_hz, COLOURS["white"], (0, 0, 0))
    most = flashing(history(told, LAMPS.index("mast"))).most
    (asks,) = [c for c in TASKS["lamps.signal"].criteria if c.title == "No lamp flashes too fast"]
    passed = asks.judge(TASKS["lamps.signal"].facts((told,))).share == 1.0
    if freq_hz != 3:
        due = Between(None, 3) if passes else Between(4, None)
        tell(f"flashes in a second at {freq_hz} Hz", due, most, "WCAG 2.3.1 (R)")
    assert most == freq_hz and passed is passes


@pytest.mark.parametrize(("colour", "published"), WCAG.items())
def test_contrast_on_white_is_that_of_wcag(colour: str, published: float, tell: Tell) -> None:
    ours = tell(f"contrast on white of {' '.join(WCAG)}", published, contrast(colour, "#FFFFFF"),
                "WCAG formula (A)")  # fmt: skip
    assert ours == pytest.approx(published, abs=5e-4)
    assert contrast("#FFFFFF", colour) == contrast(colour, "#FFFFFF")


def test_our_colours_are_those_of_okabe_and_ito(tell: Tell) -> None:
    ours = " ".join(sorted(colour.lstrip("#") for colour in OKABE_ITO.values()))
    assert tell("colours of pictures", OKABE, ours, "Okabe and Ito (T)") == OKABE
