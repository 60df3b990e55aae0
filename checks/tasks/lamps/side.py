"""Task `lamps.side`: the running lights, by the rule of the road at sea."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from robotsim import LAMPS, Recording

from ...readings.light import DARK, Colour, held, history, longest, told, white
from ...task import Criterion, Finding, Mistake, Run, Task, share
from .slips import SLIPS

__all__ = ["SIDE"]

_SECONDS = 3.0
_SINCE = 0.5
"""A short greeting may come first; from this time in s on, the lamps are judged."""
_DIM, _GLARE = 40, 160
"""Least and greatest strongest number of a lamp: seen across the table, no dazzle (invented)."""


def _red(colour: Colour) -> bool:
    red, green, blue = colour
    return red > 0 and 4 * max(green, blue) <= red


def _green(colour: Colour) -> bool:
    red, green, blue = colour
    return green > 0 and 3 * max(red, blue) <= green


def _amber(colour: Colour) -> bool:
    red, green, blue = colour
    return red > 0 and 0.2 <= green / red <= 0.8 and 4 * blue <= red


class _Place(NamedTuple):
    """What one lamp has to show."""

    lamp: int
    name: str
    test: Callable[[Colour], bool]


_PLACES = (
    _Place(0, "red", _red),
    _Place(1, "green", _green),
    _Place(2, "white", white),
    _Place(3, "white", white),
    _Place(4, "amber", _amber),
)
"""Port red, starboard green, stern and masthead white: COLREGs, rules 21 and 23 (read).
The amber working lamp on deck is the harbour office's own (invented)."""


def _main_colours(recording: Recording) -> list[Colour]:
    """Give each lamp's colour that lasts longest in the judged time."""
    lamps = range(len(LAMPS))
    return [longest(history(recording, lamp), _SINCE, recording.seconds) for lamp in lamps]


def _all_lit(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    shown = _main_colours(recording)
    dark = [LAMPS[lamp] for lamp, colour in enumerate(shown) if colour == DARK]
    measured = f"dark: {', '.join(dark)}" if dark else "all five are lit"
    return Finding(1 - len(dark) / len(LAMPS), measured, f"all five lit from {_SINCE} s on", _SINCE)


def _shows(place: _Place) -> Callable[[Sequence[Recording]], Finding]:
    def judge(recordings: Sequence[Recording]) -> Finding:
        (recording,) = recordings
        steps = history(recording, place.lamp)
        part = held(steps, place.test, _SINCE, recording.seconds)
        main = longest(steps, _SINCE, recording.seconds)
        measured = f"shows {f'{place.name} {main}' if place.test(main) else told(main)}"
        if 0.0 < part < 0.999:
            measured += f"; {place.name} for {100 * part:.0f} % of the time"
        asked = f"{place.name} from {_SINCE} s to the end"
        return Finding(share(1 - part, full=0.001, none=1.0), measured, asked, _SINCE)

    return judge


def _bright(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    strongest = [max(colour) for colour in _main_colours(recording)]
    fit = sum(_DIM <= number <= _GLARE for number in strongest) / len(strongest)
    measured = f"strongest numbers {', '.join(map(str, strongest))}"
    return Finding(fit, measured, f"{_DIM} to {_GLARE} at each lamp", _SINCE)


# -- known mistakes ----------------------------------------------------------


def _places_right(shown: Sequence[Colour]) -> int:
    return sum(place.test(shown[place.lamp]) for place in _PLACES)


def _exchanged(colour: Colour) -> Colour:
    return colour[1], colour[0], colour[2]


def _chips_take_red_first(recording: Recording) -> bool:
    """Say whether the chips take red first, from bytes sent and colours shown."""
    frames = recording.of("frame")
    for frame, lamps in zip(frames, recording.of("lamps"), strict=False):
        sent = bytes.fromhex(frame.data[2])[:3]
        if len(sent) == 3 and sent[0] != sent[1]:
            return bool(tuple(sent) == tuple(lamps.data[0][0]))
    return False


def _order_swapped(recordings: Sequence[Recording]) -> str | None:
    """Tell exchanged colours from exchanged sides by the deck lamp, and by the chips without it."""
    (recording,) = recordings
    shown = _main_colours(recording)
    sides = _green(shown[0]) and _red(shown[1])
    deck = _amber(_exchanged(shown[4]))
    if deck and not _amber(shown[4]) and (sides or not (_red(shown[0]) or _green(shown[1]))):
        return f"red and green have changed places in every lamp: the deck shows {told(shown[4])}"
    if sides and not _amber(shown[4]) and _chips_take_red_first(recording):
        return "port shows green and starboard red, and this tug's chips take red before green"
    return None


def _sides_swapped(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    shown = _main_colours(recording)
    if _green(shown[0]) and _red(shown[1]):
        return "the port bow shows green and the starboard bow red"
    return None


def _off_by_one(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    shown = _main_colours(recording)
    right = _places_right(shown)
    for places, way in ((1, "up"), (-1, "down")):
        back = [shown[(lamp + places) % len(shown)] for lamp in range(len(shown))]
        if _places_right(back) >= max(right + 2, 3) and _red(back[0]) and _green(back[1]):
            return f"every colour sits one lamp too far {way} the chain"
    return None


def _put_out(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    if any(map(any, recording.lamps_at(recording.seconds))):
        return None
    lasts = [history(recording, lamp)[-1].time for lamp in range(len(LAMPS))]
    return f"all lamps are dark from {max(lasts):.2f} s on" if any(lasts) else None


def _blinks(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    for lamp, name in enumerate(LAMPS):
        changes = sum(step.time > _SINCE for step in history(recording, lamp))
        if changes >= 3:
            return f"the {name} lamp changes {changes} times after {_SINCE} s"
    return None


def _one_colour(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    shown = set(_main_colours(recording))
    if len(shown) == 1 and shown != {DARK}:
        return f"all lamps show {told(shown.pop())}"
    return None


def _not_white(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    shown = _main_colours(recording)
    for lamp in (2, 3):
        if sum(number > 0 for number in shown[lamp]) == 2:
            return f"the {LAMPS[lamp]} lamp shows {told(shown[lamp])}: one of the three is missing"
    return None


def _left_out(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    shown = _main_colours(recording)
    dark = [name for name, colour in zip(LAMPS, shown, strict=True) if colour == DARK]
    return f"dark all the time: {', '.join(dark)}" if 0 < len(dark) < len(LAMPS) else None


def _strength(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    for name, colour in zip(LAMPS, _main_colours(recording), strict=True):
        if colour != DARK and not _DIM <= max(colour) <= _GLARE:
            return f"the {name} lamp's strongest number is {max(colour)}"
    return None


def _right_only_later(recordings: Sequence[Recording]) -> str | None:
    """Tell a greeting that takes too long from lamps that blink: all is right once, to the end."""
    (recording,) = recordings
    seen = [all(p.test(e.data[0][p.lamp]) for p in _PLACES) for e in recording.of("lamps")]
    times = [event.seconds for event in recording.of("lamps")]
    begun = [k for k, right in enumerate(seen) if right and not (k and seen[k - 1])]
    if len(begun) == 1 and seen[-1] and times[begun[0]] > _SINCE:
        return f"the lamps are as asked from {times[begun[0]]:.2f} s on only"
    return None


def _misplaced(recordings: Sequence[Recording]) -> str | None:
    """Tell the right colours on the wrong lamps."""
    (recording,) = recordings
    shown = _main_colours(recording)
    found = [next((p.name for p in _PLACES if p.test(colour)), "") for colour in shown]
    wrong = [p for p in _PLACES if found[p.lamp] != p.name]
    if not wrong or sorted(found) != sorted(p.name for p in _PLACES):
        return None
    return f"the {LAMPS[wrong[0].lamp]} lamp shows {found[wrong[0].lamp]}, not {wrong[0].name}"


def _other_colour(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    for place, colour in zip(_PLACES, _main_colours(recording), strict=True):
        if colour != DARK and not place.test(colour):
            return f"the {LAMPS[place.lamp]} lamp shows {told(colour)}, not {place.name}"
    return None


def _late(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    begun = [s[1].time for lamp in range(len(LAMPS)) if len(s := history(recording, lamp)) > 1]
    if begun and min(begun) > _SINCE:
        return f"the lamps come on at {min(begun):.2f} s only"
    return None


def _not_amber(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    deck = _main_colours(recording)[4]
    if deck == DARK or _amber(deck):
        return None
    return f"the deck lamp shows {told(deck)}"


_MISTAKES = (
    Mistake(
        "colour order swapped",
        "send red alone to one lamp and look. If it comes out green, this tug's chips take red "
        "first: np.ORDER = (0, 1, 2, 3) tells the driver so, in capitals and before the first "
        "colour is set. Then exchange nothing else.",
        _order_swapped,
    ),
    Mistake(
        "port and starboard swapped",
        "looking ahead from the tug, port is left (lamp 0, red) and starboard right "
        "(lamp 1, green).",
        _sides_swapped,
    ),
    Mistake(
        "lamps counted from 1",
        "the first lamp of the chain is np[0], the last of five np[4].",
        _off_by_one,
    ),
    Mistake(
        "colours on the wrong lamps",
        "from 0 to 4: port bow, starboard bow, mast, stern, deck.",
        _misplaced,
    ),
    Mistake(
        "lit too late",
        f"send the colours within the first {_SINCE} s; a lamp test before that must be short.",
        lambda recordings: _right_only_later(recordings) or _late(recordings),
    ),
    Mistake(
        "lamps blink that should be steady",
        "send the colours once; a running light does not blink.",
        _blinks,
    ),
    Mistake(
        "lamps put out too early",
        "the lamps keep what they were last sent, also after the program's end: "
        "leave out the part that darkens them.",
        _put_out,
    ),
    Mistake(
        "one colour for all lamps",
        "fill() gives every lamp the same colour; set np[0] to np[4] one by one.",
        _one_colour,
    ),
    Mistake(
        "white without one of its three colours",
        "white is red, green and blue in equal parts, such as (100, 100, 100).",
        _not_white,
    ),
    Mistake(
        "a lamp left out, or set after the last write()",
        "set all five, then call np.write(): what is set later waits for the next write(). "
        "And 255 is the largest number: 256 counts as 0.",
        _left_out,
    ),
    Mistake(
        "too dim or too bright",
        f"keep the largest of a lamp's three numbers between {_DIM} and {_GLARE}.",
        _strength,
    ),
    Mistake(
        "the deck is not amber",
        "amber is red with about four tenths as much green and no blue, such as (100, 40, 0).",
        _not_amber,
    ),
    Mistake(
        "another colour than the one asked",
        "a colour is (red, green, blue): (100, 0, 0) is red, (0, 100, 0) green, "
        "(100, 100, 100) white.",
        _other_colour,
    ),
)

SIDE = Task(
    id="lamps.side",
    title="Running lights",
    program="side.py",
    runs=(Run(_SECONDS),),
    criteria=(
        Criterion("The lamps are lit", 1, _all_lit, essential=True),
        Criterion("The port bow shows red", 2, _shows(_PLACES[0])),
        Criterion("The starboard bow shows green", 2, _shows(_PLACES[1])),
        Criterion("The mast shows white", 1, _shows(_PLACES[2])),
        Criterion("The stern shows white", 1, _shows(_PLACES[3])),
        Criterion("The deck shows amber", 2, _shows(_PLACES[4])),
        Criterion("Neither dim nor dazzling", 1, _bright),
    ),
    mistakes=(*SLIPS, *_MISTAKES),
)
"""Ten points."""
