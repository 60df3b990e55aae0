"""Task `lamps.side`: the running lights, by the rule of the road at sea."""

from __future__ import annotations

import functools

from robotsim import LAMPS

from ...readings.colour import Colour, colour_name, described
from ...readings.light import Step, held, history, longest
from ...task import Criterion, Facts, Finding, criterion, share

__all__ = [
    "ASKED",
    "CRITERIA",
    "DIM",
    "GLARE",
    "SECONDS",
    "SHOWS",
    "SINCE",
    "RunningLights",
    "green_off",
    "green_to_red",
    "is_amber",
]

SECONDS = 3.0
SINCE = 0.5
"""A short greeting may come first; from this time in s on, the lamps are judged."""
DIM, GLARE = 40, 160
"""Least and greatest strongest number of a lamp: seen across the table, no dazzle (invented)."""
MUCH_GREEN, EITHER_WAY = 0.4, 0.1
"""The deck's amber: how much green there is for one of red, and how far off is free."""
ASKED = ("red", "green", "white", "white", "amber")
"""Lamp by lamp. Port red, starboard green, stern and masthead white: COLREGs, rules 21 and 23
(read). The amber working lamp on deck is the harbour office's own (invented)."""


class RunningLights(Facts):
    """What the five lamps showed."""

    @functools.cached_property
    def steps(self) -> list[list[Step]]:
        """What each lamp showed, change by change."""
        return [history(self.recording, lamp) for lamp in range(len(LAMPS))]

    @functools.cached_property
    def colours(self) -> list[Colour]:
        """The colour that each lamp showed for longest in the judged time."""
        return [longest(steps, SINCE, self.recording.seconds) for steps in self.steps]

    @functools.cached_property
    def names(self) -> list[str]:
        """What those are called."""
        return [colour_name(colour) for colour in self.colours]

    @property
    def dark(self) -> list[str]:
        """The lamps that were dark."""
        return [LAMPS[lamp] for lamp, name in enumerate(self.names) if name == "dark"]

    @property
    def sides_exchanged(self) -> bool:
        """Whether port shows green and starboard red."""
        return self.names[:2] == ["green", "red"]

    @functools.cached_property
    def taken_first(self) -> str:
        """The colour that this tug's chips take first, from bytes sent and colours shown.

        "red" or "green"; "" where nothing was sent that would tell.
        """
        pairs = zip(self.recording.of("frame"), self.recording.of("lamps"), strict=False)
        for frame, lamps in pairs:
            sent = bytes.fromhex(frame.data[2])
            for lamp, shown in enumerate(lamps.data[0]):
                three = tuple(sent[3 * lamp : 3 * lamp + 3])
                if len(three) == 3 and three[0] != three[1]:
                    return "red" if three == tuple(shown) else "green"
        return ""


@criterion("The lamps are lit", 1, asks=f"all five lit from {SINCE} s on", essential=True)
def all_lit(seen: RunningLights) -> Finding:
    measured = f"dark: {', '.join(seen.dark)}" if seen.dark else "all five are lit"
    return Finding(1 - len(seen.dark) / len(LAMPS), measured, at=SINCE)


def _shows(lamp: int, points: float, more: str = "") -> Criterion:
    name = ASKED[lamp]
    asks = f"{name}{more}, from {SINCE} s to the end at {SECONDS:g} s"

    @criterion(f"The {LAMPS[lamp]} shows {name}", points, asks=asks)
    def shows(seen: RunningLights) -> Finding:
        steps, until = seen.steps[lamp], seen.recording.seconds
        part = held(steps, lambda colour: colour_name(colour) == name, SINCE, until)
        dark = seen.names[lamp] == "dark"
        measured = "is dark" if dark else f"shows {described(seen.colours[lamp])}"
        if 0.0 < part < 0.999:
            measured += f"; {name} for {100 * part:.0f} % of the time"
        earned = share(1 - part, full=0.001, none=1.0)
        if name == "amber" and seen.names[lamp] == name:
            off = green_off(seen.colours[lamp])
            earned *= share(off, full=EITHER_WAY, none=2 * EITHER_WAY)
            if off:
                measured += f", {green_to_red(seen.colours[lamp]):.2f} as much green as red"
        return Finding(earned, measured, at=SINCE)

    return shows


def is_amber(colour: Colour) -> bool:
    """Say whether a colour is amber."""
    return colour_name(colour) == "amber"


def green_to_red(colour: Colour) -> float:
    """Give how much green there is for one of red."""
    return colour[1] / colour[0]


def green_off(colour: Colour) -> float:
    """Give how far that is from what is asked; what is free counts as nothing."""
    off = abs(green_to_red(colour) - MUCH_GREEN)
    return 0.0 if off < EITHER_WAY + 0.005 else off


_PURE = ": each of the other two numbers at most an eighth of it"
_EVEN = ": no number below seven tenths of the largest"
"""What is surely called so; the limits of `colour_name` lie a little farther out."""
SHOWS = (
    _shows(0, 2, _PURE),
    _shows(1, 2, _PURE),
    _shows(2, 1, _EVEN),
    _shows(3, 1, _EVEN),
    _shows(4, 2, ": red, three to five tenths as much green, a tenth as much blue or less"),
)


@criterion(
    "Neither dim nor dazzling", 1, asks=f"the strongest number of each lamp from {DIM} to {GLARE}"
)
def bright(seen: RunningLights) -> Finding:
    strongest = [max(colour) for colour in seen.colours]
    fit = sum(DIM <= number <= GLARE for number in strongest) / len(strongest)
    return Finding(fit, f"strongest numbers {', '.join(map(str, strongest))}", at=SINCE)


CRITERIA = (all_lit, *SHOWS, bright)
"""Ten points."""
