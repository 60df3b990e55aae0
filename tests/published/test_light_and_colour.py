"""Lamps and pictures against the rule of the road, WCAG and a published set of colours.

*Source*: COLREGs, rules 21 and 23(d) (R = read): starboard green, port red, stern white, masthead
white.  WCAG 2.2 (R): contrast (L1 + 0.05) / (L2 + 0.05), no more than three flashes in any one
second; the contrasts of these pairs follow from its formula (A).  Okabe and Ito, Color Universal
Design (T).  The sectors of rule 21 (112.5 and 135 degrees) have no check: the toy lamps shine all
round, and the lesson says so.
"""

from __future__ import annotations

from functools import cache

import pytest

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
        if asks.judge((shown(10**7, colour),)).share == 1.0
    ]
    rule = "COLREGs 21, 23(d) (R)"
    assert tell(f"the {lamp} lamp", RULE[lamp], " ".join(accepted), rule) == RULE[lamp]


@pytest.mark.parametrize(("freq_hz", "passes"), [(2, True), (3, True), (4, False)])
def test_more_than_three_flashes_in_a_second_are_too_many(
    freq_hz: int, passes: bool, tell: Tell
) -> None:
    told = shown(500_000 // freq_hz, COLOURS["white"], (0, 0, 0))
    most = flashing(history(told, LAMPS.index("mast"))).most
    (asks,) = [c for c in TASKS["lamps.signal"].criteria if c.title == "No lamp flashes too fast"]
    passed = asks.judge((told,)).share == 1.0
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
