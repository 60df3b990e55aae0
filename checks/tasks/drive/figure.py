"""Figure: what the recording of a square says, and what is asked of it."""

from __future__ import annotations

import math
import statistics
from functools import cached_property

from ...readings.motion import SIDES, Move
from ...task import Finding, criterion, share
from ...words import counted, told_apart
from .driving import Driving, stops, to_port

__all__ = [
    "CORNERS",
    "PAUSE_FULL",
    "SECONDS",
    "SIDE",
    "SIDES_WITHIN",
    "Square",
    "closes",
    "comes_by_the_corners",
    "goes_round",
    "heads_as_it_began",
    "keeps_to_the_sides",
    "rests",
    "stops_by_itself",
]

SIDE = 0.40
WAY_FULL = 3.6 * SIDE
"""Who has gone so many m has gone all of it: turns about a braked wheel take some of the sides."""
CORNERS = ((SIDE, 0.0), (SIDE, SIDE), (0.0, SIDE), (0.0, 0.0))
SECONDS = 20.0
MOVES = 8
PAUSE, PAUSE_FULL = 0.10, 0.095
"""How long both motors are left alone after a move, in s: as asked, and what is near enough."""
CORNER_WITHIN, CORNER_NONE = 0.10, 0.25
SIDES_WITHIN, SIDES_NONE = 0.08, 0.18
GAP_WITHIN, GAP_NONE = 0.10, 0.30
TURN_WITHIN, TURN_NONE = 20.0, 60.0
"""In m and degrees: more than three times what days move a square, whose heading they change by 5.5
degrees and whose gap they leave at 0.03 m."""


class Square(Driving):
    """What the recording of a square says."""

    @cached_property
    def sides(self) -> list[Move]:
        """The straight moves."""
        return [move for move in self.moves if move.straight]

    @cached_property
    def turns(self) -> list[float]:
        """The turns on the spot, in degrees, to port positive."""
        return [math.degrees(move.turned) for move in self.moves if not move.straight]

    @cached_property
    def bend(self) -> float:
        """By how many degrees a side bent, on the mean, to port positive."""
        return math.degrees(statistics.fmean(side.turned for side in self.sides or [_NO_MOVE]))

    @cached_property
    def covered(self) -> float:
        """The share of the square's sides that it came near."""
        points = self.way.points[::_EVERY]
        near = [min(math.dist(place, point) for point in points) < _NEAR for place in _OUTLINE]
        return sum(near) / len(near)

    @cached_property
    def went(self) -> float:
        """The share of the square that it went: by all its sides, and as long a way."""
        return min(1.0, self.way.path / WAY_FULL, self.covered)

    @cached_property
    def off_outline(self) -> list[float]:
        """How far it is from the square's outline, in m, at each moment."""
        return [_from_outline(*point) for point in self.way.points]

    @cached_property
    def side_trim(self) -> float:
        """How much more duty the left motor got than the right one while both ran ahead."""
        left, right = ([p for p in self.phases[side] if p.duty > 0] for side in SIDES)
        pairs = [
            (min(a.end, b.end) - max(a.begin, b.begin), a.duty - b.duty)
            for a in left for b in right if min(a.end, b.end) > max(a.begin, b.begin)
        ]  # fmt: skip
        total = sum(seconds for seconds, _ in pairs)
        return sum(seconds * more for seconds, more in pairs) / total if total else 0.0


_NO_MOVE = Move(True, 0.0, 0.0)
_NEAR = 0.12
"""Within so many m of a place on the outline it came by there: half as far again as is asked."""
_EVERY = 5
"""Of the samples of the way every fifth is looked at: they lie 2 cm apart at most."""
_OUTLINE = tuple(
    (a[0] + (b[0] - a[0]) * k / 10, a[1] + (b[1] - a[1]) * k / 10)
    for a, b in zip((CORNERS[3], *CORNERS[:3]), CORNERS, strict=True) for k in range(10)
)  # fmt: skip
"""Places on the outline, 4 cm apart."""


def _from_outline(ahead: float, port: float) -> float:
    x, y = abs(ahead - SIDE / 2) - SIDE / 2, abs(port - SIDE / 2) - SIDE / 2
    return abs(max(x, y)) if x <= 0 and y <= 0 else math.hypot(max(x, 0.0), max(y, 0.0))


@criterion(
    "It goes round to port",
    1,
    asks=f"270 degrees to port or more, and {SIDE:.2f} m away on the way",
    essential=True,
)
def goes_round(seen: Square) -> Finding:
    """Tells a round from a spin and from a way out and back."""
    away = seen.way.farthest
    part = min(1.0, max(seen.turned_deg, 0.0) / 270) * share(SIDE - away, full=0.0, none=0.25)
    return Finding(part, f"turned {to_port(seen.turned_deg)} in all, came {away:.2f} m away")


@criterion(
    "It comes by the corners",
    3,
    asks=f"by each of the three on the way, and by the one where it began, within "
    f"{CORNER_WITHIN:.2f} m",
)
def comes_by_the_corners(seen: Square) -> Finding:
    """Each corner after the one before it."""
    first, missed = 0, []
    for corner in CORNERS:
        far = [math.dist(point, corner) for point in seen.way.points[first:]]
        missed.append(min(far))
        first += far.index(min(far))
    part = sum(share(miss, full=CORNER_WITHIN, none=CORNER_NONE) for miss in missed) / len(missed)
    words = ", ".join(told_apart(miss, CORNER_WITHIN) for miss in missed)
    return Finding(part, f"came by the four corners at {words} m")


def _so_far(seen: Square) -> str:
    """Tell how far it went, where that was no whole square."""
    if seen.went == 1.0:
        return ""
    return f", by {100 * seen.covered:.0f} % of the sides in {seen.way.path:.2f} m of way"


_ALL_ROUND = f", having come by all the sides in {WAY_FULL:.2f} m of way or more"


@criterion(
    "It keeps to the sides",
    2,
    asks=f"within {SIDES_WITHIN:.2f} m of the square{_ALL_ROUND}",
)
def keeps_to_the_sides(seen: Square) -> Finding:
    """The greatest distance from the outline."""
    off = seen.off_outline
    part = share(max(off), full=SIDES_WITHIN, none=SIDES_NONE) * seen.went
    words = f"up to {told_apart(max(off), SIDES_WITHIN)} m off the square{_so_far(seen)}"
    return Finding(part, words, at=seen.way.when(off))


@criterion("It closes", 2, asks=f"ends within {GAP_WITHIN:.2f} m of where it began{_ALL_ROUND}")
def closes(seen: Square) -> Finding:
    """The gap at the end."""
    gap = math.hypot(*seen.way.end)
    measured = f"ended {told_apart(gap, GAP_WITHIN)} m from where it began{_so_far(seen)}"
    return Finding(share(gap, full=GAP_WITHIN, none=GAP_NONE) * seen.went, measured)


@criterion(
    "It heads as it began",
    2,
    asks=f"turned 360 degrees to port, within {TURN_WITHIN:g}{_ALL_ROUND}",
)
def heads_as_it_began(seen: Square) -> Finding:
    """The angle of all turns together."""
    off = abs(seen.turned_deg - 360)
    measured = f"turned {to_port(seen.turned_deg)} in all"
    if TURN_WITHIN < off < TURN_WITHIN + 0.5:
        measured += f", {told_apart(off, TURN_WITHIN, 1)} off"
    return Finding(
        share(off, full=TURN_WITHIN, none=TURN_NONE) * seen.went, measured + _so_far(seen)
    )


@criterion(
    "It rests between the moves",
    1,
    asks=f"{MOVES} moves or more, and from each to the next at least {PAUSE:.2f} s in which no "
    "motor is driven",
)
def rests(seen: Square) -> Finding:
    """The pauses between the moves."""
    if not seen.pauses:
        return Finding(0.0, "no move follows another")
    parts = [share(PAUSE - pause, full=PAUSE - PAUSE_FULL, none=PAUSE) for pause in seen.pauses]
    least = told_apart(min(seen.pauses), PAUSE_FULL)
    words = f"{counted(len(parts), 'pause')}, the shortest {least} s"
    return Finding(sum(parts) / max(len(parts), MOVES - 1), words)


stops_by_itself = stops(SECONDS)
