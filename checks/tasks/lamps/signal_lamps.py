"""Known mistakes of `lamps.signal` in which a lamp is the wrong one, dark, or not white."""

from __future__ import annotations

from robotsim import LAMPS

from ...readings.colour import described
from ...task import Clues, Mistake, mistake
from ...words import listed
from .signal import MAST, PATTERN, STERN, STERN_PATTERN, Signal, colours, fit, stern_blinks

__all__ = ["FITS", "LAMP_MISTAKES"]

FITS = 0.8
"""A lamp whose lengths fit a pattern by so much shows that pattern."""
WRONG_LAMP = (
    "the signal is on the wrong lamp",
    f"counted from 0 the mast is np[{MAST}] and the stern np[{STERN}].",
)


@mistake(*WRONG_LAMP)
def mast_elsewhere(seen: Signal) -> Clues:
    for lamp, name in enumerate(LAMPS):
        if lamp != MAST and fit(seen.flashes[lamp], PATTERN) > FITS > fit(seen.mast, PATTERN):
            yield f"the {name} lamp (lamp {lamp}) gives the signal, not the mast (lamp {MAST})"


@mistake(*WRONG_LAMP, costs=[stern_blinks], explains=[colours])
def stern_elsewhere(seen: Signal) -> Clues:
    for lamp, name in enumerate(LAMPS):
        if lamp in (MAST, STERN) or len(seen.stern) > 1:
            continue
        if fit(seen.flashes[lamp], STERN_PATTERN) > FITS:
            yield f"the {name} lamp (lamp {lamp}) blinks in place of the stern (lamp {STERN})"


@mistake("the mast lamp does not signal", "give it its own moments in the same loop.")
def mast_dark(seen: Signal) -> Clues:
    if not seen.mast and len(seen.stern) > 1:
        yield "the mast lamp stays dark, while the stern lamp blinks"


@mistake(
    "the stern lamp does not blink",
    "give it its own moments in the same loop.",
    costs=[stern_blinks],
)
def stern_still(seen: Signal) -> Clues:
    if seen.mast and len(seen.stern) < 2:
        changes = len(seen.steps[STERN]) - 1
        yield f"it changes {changes} times in the whole trial" if changes else "it stays dark"


@mistake("other lamps left on", f"set only np[{MAST}] and np[{STERN}].", costs=[colours])
def others_lit(seen: Signal) -> Clues:
    others = [LAMPS[lamp] for lamp, _ in seen.wrong_colours if lamp not in (MAST, STERN)]
    if others:
        yield f"lit as well: {listed(others)}"


@mistake("not white", "white is red, green and blue in equal parts.", costs=[colours])
def not_white(seen: Signal) -> Clues:
    for lamp, colour in seen.wrong_colours:
        if lamp in (MAST, STERN):
            yield f"the {LAMPS[lamp]} lamp shows {described(colour)}"


LAMP_MISTAKES: tuple[Mistake, ...] = (
    mast_elsewhere, stern_elsewhere, mast_dark, stern_still, others_lit, not_white,
)  # fmt: skip
