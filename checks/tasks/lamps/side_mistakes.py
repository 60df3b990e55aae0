"""Known mistakes of the task `lamps.side`, with what to try."""

from __future__ import annotations

from collections.abc import Sequence

from robotsim import LAMPS

from ...readings.colour import DARK, colour_name, described, exchanged
from ...task import Clues, Evidence, mistake
from .side import (
    ASKED,
    DIM,
    GLARE,
    SHOWS,
    SINCE,
    RunningLights,
    all_lit,
    bright,
    green_off,
    green_to_red,
    is_amber,
)
from .slips import SLIPS

__all__ = ["MISTAKES"]

PORT, STARBOARD, MAST, STERN, DECK = SHOWS


_ORDER_HINTS = {
    "red": "this tug's chips take red first: np.ORDER = (0, 1, 2, 3) tells the driver so, in "
    "capitals and before the first colour is set. Then exchange nothing else.",
    "green": "this tug's chips take green first, as the driver sends it by itself: leave np.ORDER "
    "as it comes, which is (1, 0, 2, 3), and write each colour as (red, green, blue).",
}
"""By what the chips took first: what a wrong order comes of is not the same for both."""


@mistake(
    "colour order swapped",
    "send red alone to one lamp and look: np.ORDER, in capitals and before the first colour is "
    "set, tells the driver whether this tug's chips take red first, (0, 1, 2, 3), or green, "
    "(1, 0, 2, 3). Then exchange nothing else.",
    costs=[PORT, STARBOARD, DECK],
)
def order_swapped(seen: RunningLights) -> Clues:
    """Tell exchanged colours from exchanged sides by the deck lamp, and by the chips without it."""
    deck = seen.colours[4]
    bows_known = seen.names[0] == "red" or seen.names[1] == "green"
    if is_amber(exchanged(deck)) and (seen.sides_exchanged or not bows_known):
        words = f"red and green have changed places in every lamp: the deck shows {described(deck)}"
        yield Evidence(words, _ORDER_HINTS.get(seen.taken_first, ""))
    elif seen.sides_exchanged and not is_amber(deck) and seen.taken_first == "red":
        words = "port shows green and starboard red, and this tug's chips take red before green"
        yield Evidence(words, _ORDER_HINTS["red"])


@mistake(
    "port and starboard swapped",
    "looking ahead from the tug, port is left (lamp 0, red) and starboard right (lamp 1, green).",
    costs=[PORT, STARBOARD],
)
def sides_swapped(seen: RunningLights) -> Clues:
    if seen.sides_exchanged:
        yield "the port bow shows green and the starboard bow red"


def _as_asked(names: Sequence[str]) -> int:
    return sum(name == asked for name, asked in zip(names, ASKED, strict=True))


@mistake(
    "lamps counted from 1",
    "the first lamp of the chain is np[0], the last of five np[4].",
    explains=[*SHOWS, all_lit, bright],
)
def counted_from_one(seen: RunningLights) -> Clues:
    for places, way in ((1, "up"), (-1, "down")):
        back = [seen.names[(lamp + places) % len(LAMPS)] for lamp in range(len(LAMPS))]
        if _as_asked(back) >= max(_as_asked(seen.names) + 2, 3) and back[:2] == ["red", "green"]:
            yield f"every colour sits one lamp too far {way} the chain"


@mistake(
    "colours on the wrong lamps",
    "from 0 to 4: port bow, starboard bow, mast, stern, deck.",
    explains=SHOWS,
)
def misplaced(seen: RunningLights) -> Clues:
    if sorted(seen.names) == sorted(ASKED):
        for lamp, (name, asked) in enumerate(zip(seen.names, ASKED, strict=True)):
            if name != asked:
                yield f"the {LAMPS[lamp]} lamp shows {name}, not {asked}"


@mistake(
    "lit too late",
    f"send the colours within the first {SINCE} s; a lamp test before that must be short.",
    explains=[*SHOWS, all_lit, bright],
)
def lit_too_late(seen: RunningLights) -> Clues:
    """Tell a greeting that takes too long from lamps that blink: all is right once, to the end."""
    shown = [(event.seconds, event.data[0]) for event in seen.recording.of("lamps")]
    right = [_as_asked([colour_name(tuple(one)) for one in row]) == len(ASKED) for _, row in shown]
    begun = [k for k, now in enumerate(right) if now and not (k and right[k - 1])]
    if len(begun) == 1 and right[-1] and shown[begun[0]][0] > SINCE:
        yield f"the lamps are as asked from {shown[begun[0]][0]:.2f} s on only"
    first = [steps[1].time for steps in seen.steps if len(steps) > 1]
    if first and min(first) > SINCE:
        yield f"the lamps come on at {min(first):.2f} s only"


@mistake(
    "lamps blink that should be steady",
    "send the colours once; a running light does not blink.",
    explains=[*SHOWS, all_lit, bright],
)
def blinks(seen: RunningLights) -> Clues:
    for steps, name in zip(seen.steps, LAMPS, strict=True):
        changes = sum(step.time > SINCE for step in steps)
        if changes >= 3:
            yield f"the {name} lamp changes {changes} times after {SINCE} s"


@mistake(
    "lamps put out too early",
    "the lamps keep what they were last sent, also after the program's end: leave out the part "
    "that darkens them.",
    explains=[*SHOWS, all_lit, bright],
)
def put_out(seen: RunningLights) -> Clues:
    lasts = [steps[-1] for steps in seen.steps]
    if any(step.time for step in lasts) and all(step.colour == DARK for step in lasts):
        yield f"all lamps are dark from {max(step.time for step in lasts):.2f} s on"


@mistake(
    "one colour for all lamps",
    "fill() gives every lamp the same colour; set np[0] to np[4] one by one.",
    explains=SHOWS,
)
def one_colour(seen: RunningLights) -> Clues:
    if len({*seen.colours}) == 1 and any(seen.colours[0]):
        yield f"all lamps show {described(seen.colours[0])}"


@mistake(
    "white out of balance",
    "white is red, green and blue in equal parts, such as (100, 100, 100). A number above 255 "
    "begins anew at 0: 300 becomes 44.",
    explains=[MAST, STERN],
)
def uneven_white(seen: RunningLights) -> Clues:
    for lamp in (2, 3):
        colour = seen.colours[lamp]
        parts = sum(number > 0 for number in colour)
        if parts == 2:
            yield f"the {LAMPS[lamp]} lamp shows {described(colour)}: one of the three is missing"
        elif parts == 3 and seen.names[lamp] != "white":
            yield f"the {LAMPS[lamp]} lamp shows {described(colour)}: its parts are far from equal"


_LEFT_OUT = (
    "a lamp left out, or set after the last write()",
    "set all five, then call np.write(): what is set later waits for the next write(). "
    "And 255 is the largest number: 256 counts as 0.",
)


@mistake(*_LEFT_OUT, explains=[*SHOWS, all_lit, bright])
def left_out(seen: RunningLights) -> Clues:
    """Tell dark lamps among lamps that are as asked."""
    lit = [name for name in seen.names if name != "dark"]
    if seen.dark and lit and len(lit) == _as_asked(seen.names):
        yield f"dark all the time: {', '.join(seen.dark)}"


@mistake(*_LEFT_OUT, costs=[all_lit], explains=[bright])
def left_out_too(seen: RunningLights) -> Clues:
    if 0 < len(seen.dark) < len(LAMPS):
        yield f"dark all the time: {', '.join(seen.dark)}"


@mistake(
    "too dim or too bright",
    f"keep the largest of a lamp's three numbers between {DIM} and {GLARE}; one above 255 begins "
    "anew at 0, so 300 becomes 44.",
    costs=[bright],
)
def strength(seen: RunningLights) -> Clues:
    for name, colour in zip(LAMPS, seen.colours, strict=True):
        if colour != DARK and not DIM <= max(colour) <= GLARE:
            yield f"the {name} lamp's strongest number is {max(colour)}"


@mistake(
    "the deck is not the amber asked",
    "this amber is red with about four tenths as much green and no blue, such as (100, 40, 0). A "
    "number above 255 begins anew at 0: 300 becomes 44.",
    costs=[DECK],
)
def not_amber(seen: RunningLights) -> Clues:
    deck = seen.colours[4]
    if any(deck) and not is_amber(deck):
        yield f"the deck lamp shows {described(deck)}"
    elif is_amber(deck) and green_off(deck):
        yield f"the deck lamp has {green_to_red(deck):.2f} as much green as red"


@mistake(
    "another colour than the one asked",
    "a colour is (red, green, blue): (100, 0, 0) is red, (0, 100, 0) green, (100, 100, 100) white; "
    "a number above 255 begins anew at 0: 300 becomes 44.",
    explains=SHOWS,
)
def other_colour(seen: RunningLights) -> Clues:
    if seen.sides_exchanged:
        return  # that has a name of its own, whatever else there is
    for lamp, (name, asked) in enumerate(zip(seen.names, ASKED, strict=True)):
        if name not in ("dark", asked):
            yield f"the {LAMPS[lamp]} lamp shows {described(seen.colours[lamp])}, not {asked}"


MISTAKES = (
    *SLIPS, order_swapped, sides_swapped, counted_from_one, misplaced, lit_too_late, blinks,
    put_out, one_colour, uneven_white, left_out, left_out_too, strength, not_amber, other_colour,
)  # fmt: skip
"""The likeliest and most telling first."""
