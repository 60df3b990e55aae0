"""Task `drive.square`: a square that closes."""

from __future__ import annotations

import statistics

from robotsim.show.targets import LineTarget

from ...readings.bench import faster_side
from ...task import Clues, Run, Task, mistake
from ...words import counted
from .. import motors
from .driving import ANY_TASK, one_after_the_other, to_port
from .figure import (
    CORNERS,
    PAUSE_FULL,
    SECONDS,
    SIDE,
    SIDES_WITHIN,
    Square,
    closes,
    comes_by_the_corners,
    goes_round,
    heads_as_it_began,
    keeps_to_the_sides,
    rests,
    stops_by_itself,
)
from .straight import TRIM_SIDE_HINT, no_trim, ran_into_the_wall, trim_not_yet_right
from .straight import trim_on_the_wrong_side as wrong_side

__all__ = ["SQUARE"]

X, Y = 0.40, 0.20
"""Where it starts, in m."""
_BENDS = 3.5
"""A side that bends by more, in degrees, does so for want of trim."""
_UNEVEN = 0.004
_WAY = [
    goes_round, comes_by_the_corners, keeps_to_the_sides, closes, heads_as_it_began, stops_by_itself
]  # fmt: skip
"""What a wrong way may cost; a wall too may lie on it."""
_ALL = [*_WAY, rests]


@mistake(
    "one side runs backwards",
    "on a side both wheels turn ahead; only in a corner do they turn against each other.",
)
def only_spins(seen: Square) -> Clues:
    if seen.turns and not seen.sides:
        turned = sum(map(abs, seen.turns))
        yield f"the wheels always turned against each other: it spun by {turned:.0f} degrees"


@mistake(
    "both wheels one way at the corners",
    "to turn on the spot let the left wheel run back while the right one runs ahead.",
    costs=[comes_by_the_corners],
    explains=_ALL,
)
def never_turns(seen: Square) -> Clues:
    if seen.sides and not seen.turns and abs(seen.turned_deg) < 120:
        yield f"both wheels always turned the same way; in all it turned {to_port(seen.turned_deg)}"


@mistake(
    "left and right swapped",
    "to turn to port (left) the right wheel runs ahead and the left one back.",
    costs=[goes_round],
    explains=_WAY,
)
def to_starboard(seen: Square) -> Clues:
    if seen.turns and sum(seen.turns) < -30:
        yield f"its turns on the spot came to {to_port(sum(seen.turns))} in all"


@mistake(
    "wrong number of sides or turns",
    "four times: a side, then a turn. Is there a loop that counts to 4?",
    explains=_ALL,
)
def wrong_count(seen: Square) -> Clues:
    count, quarters = (len(seen.sides), len(seen.turns)), round(seen.turned_deg / 90)
    if seen.wall is None and quarters in (1, 2, 3) and len(seen.sides) == 4 and (
        abs(seen.turned_deg - 90 * quarters) < 15
    ):  # fmt: skip
        yield f"it drove 4 sides and turned {to_port(seen.turned_deg)} in all in place of 360"
    elif seen.moves and seen.wall is None and count != (4, 4):
        sides, turns = counted(count[0], "side"), counted(count[1], "turn")
        yield f"it drove {sides} and made {turns} in place of 4 and 4"
    elif [move.straight for move in seen.moves[:2]] == [True, True]:
        yield "two sides came one behind the other, with no turn between them"


def _trim(seen: Square) -> str:
    """Give the side that gets more on the sides; "" for none."""
    return "" if abs(seen.side_trim) < _UNEVEN else "left" if seen.side_trim > 0 else "right"


@mistake(no_trim.name, "use the trim that you found for the metre.", explains=_WAY)
def sides_without_trim(seen: Square) -> Clues:
    faster = {"left": -1, "right": 1}.get(faster_side(seen.recording.serial), 0)
    if abs(seen.bend) > _BENDS and not _trim(seen) and seen.bend * faster > 0:
        yield f"with equal duties each side bent by {to_port(seen.bend)} on the mean"


@mistake(wrong_side.name, TRIM_SIDE_HINT, explains=_WAY)
def trim_on_the_wrong_side(seen: Square) -> Clues:
    side = _trim(seen)
    # To port (positive) bends who gives the right wheel too much.
    if abs(seen.bend) > _BENDS and side and seen.side_trim * seen.bend < 0:
        if side == faster_side(seen.recording.serial):
            yield (
                f"the {side} motor got {100 * abs(seen.side_trim):.1f} % more on the sides, yet it "
                f"is the faster one anyway: each side bent by {to_port(seen.bend)} on the mean"
            )


@mistake(
    "no rest between the moves",
    "after each move set both efforts to 0 (brake) and wait 0.2 s.",
    costs=[rests],
    explains=_WAY,
)
def no_rest(seen: Square) -> Clues:
    if seen.pauses and statistics.median(seen.pauses) < PAUSE_FULL:
        least = min(seen.pauses)
        yield f"the next move begins {least:.2f} s after the last one, before it has come to rest"


@mistake(trim_not_yet_right.name, trim_not_yet_right.hint, explains=_WAY)
def trim_still_off(seen: Square) -> Clues:
    if abs(seen.bend) > _BENDS and _trim(seen):
        yield f"each side still bent by {to_port(seen.bend)} on the mean"


@mistake(
    "turns too far or not far enough",
    "new turning time = old one x 90 / degrees measured.",
    explains=_WAY,
)
def turns_of_another_size(seen: Square) -> Clues:
    if seen.turns and abs((mean := statistics.fmean(seen.turns)) - 90) > 3:
        yield f"a turn on the spot came to {mean:.0f} degrees on the mean"


@mistake(
    "turned about one wheel",
    "on the spot one wheel runs back as fast as the other one runs ahead.",
    explains=[*_WAY, rests],
)
def turned_about_one_wheel(seen: Square) -> Clues:
    tracks = seen.recording.tracks
    rolls = [(abs(a), abs(b)) for a, b in zip(tracks["left"], tracks["right"], strict=True)]
    rolls = [pair for pair in rolls if max(pair) > 0.03]
    stood = sum(min(pair) < 0.1 * max(pair) for pair in rolls)
    if seen.turns and stood >= 0.1 * len(rolls):
        yield f"for {stood * tracks['t'][1]:.1f} s one wheel stood while the other one turned"


_NEW_TIME = "new time of a side = old one x 0.40 m / length measured."


@mistake("sides far too long", _NEW_TIME, explains=_ALL)
def far_too_long(seen: Square) -> Clues:
    """Such a side meets the wall, and the time is over before the last turn."""
    first = seen.moves[0] if seen.moves else None
    if first and first.straight and seen.turns and first.length > 1.5 * SIDE:
        yield f"its first side came to {first.length:.2f} m in place of {SIDE:.2f} m"


@mistake("sides of the wrong length", _NEW_TIME, explains=_WAY)
def sides_of_another_length(seen: Square) -> Clues:
    lengths = [side.length for side in seen.sides]
    if lengths and max(lengths) - min(lengths) > 0.04:
        yield f"the sides are unlike: from {min(lengths):.2f} m to {max(lengths):.2f} m"
    if lengths and abs((mean := statistics.fmean(lengths)) - SIDE) > 0.03:
        yield f"a side came to {mean:.2f} m on the mean in place of {SIDE:.2f} m"


SQUARE = Task(
    id="drive.square",
    title="A square that closes",
    program="square.py",
    runs=(Run(seconds=SECONDS, start=(X, Y, 0.0)),),
    facts=Square,
    criteria=(
        goes_round, comes_by_the_corners, keeps_to_the_sides, closes, heads_as_it_began, rests,
        stops_by_itself,
    ),
    mistakes=(
        *ANY_TASK,
        one_after_the_other.bound(costs=[comes_by_the_corners], explains=_ALL),
        only_spins,
        motors.duty_inverted_at_the_stop.bound(costs=[stops_by_itself], explains=_ALL),
        far_too_long,
        motors.not_ended.bound(costs=[stops_by_itself], explains=_ALL),
        motors.left_on.bound(costs=[stops_by_itself], explains=_WAY),
        never_turns,
        to_starboard,
        wrong_count,
        sides_without_trim,
        trim_on_the_wrong_side,
        no_rest,
        trim_still_off,
        turns_of_another_size,
        turned_about_one_wheel,
        sides_of_another_length,
        ran_into_the_wall.bound(costs=[stops_by_itself], explains=_ALL),
    ),
    targets=tuple(
        LineTarget((X + a[0], Y + a[1]), (X + b[0], Y + b[1]), f"side {k}", SIDES_WITHIN)
        for k, (a, b) in enumerate(zip((CORNERS[3], *CORNERS[:3]), CORNERS, strict=True), 1)
    ),
)  # fmt: skip
"""Twelve points."""
