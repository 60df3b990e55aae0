"""Evidence of mistakes in the way that the tug went, read from a recording.

A function here gives the evidence in words, or None where the mistake was not made.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from robotsim import Recording

from ...readings.bench import faster_side
from ...readings.motion import (
    SIDES,
    Way,
    driven,
    hit_wall,
    mean_duty,
    motor_phases,
    rolled,
)
from .evidence import percent

__all__ = [
    "count",
    "drift",
    "legs",
    "no_curve",
    "no_trim",
    "no_turn",
    "on_the_spot",
    "pivoted",
    "runs_on",
    "side_size",
    "spun",
    "square_trim",
    "square_trim_side",
    "square_trim_size",
    "swapped",
    "to_starboard",
    "trim_size",
    "turn_size",
    "uneven",
    "unlike",
    "wall",
    "wrong_arc",
    "wrong_length",
    "wrong_radius",
    "wrong_trim",
]

Recordings = Sequence[Recording]

_TRACK = 0.092
"""Between the wheels, in m (the tug's drawing)."""


# -- straight ----------------------------------------------------------------


def drift(recording: Recording) -> float:
    """Give by how much more the left wheel rolled than the right one, in m, up to a wall."""
    until = hit_wall(recording)
    return rolled(recording, "left", until) - rolled(recording, "right", until)


def unlike(recording: Recording) -> tuple[float, str]:
    """Give (difference of the duties, which side got more)."""
    difference = mean_duty(recording, "left") - mean_duty(recording, "right")
    return abs(difference), "left" if difference > 0 else "right"


def _strayed(recording: Recording) -> bool:
    return max(map(abs, Way.of(recording, hit_wall(recording)).port)) > 0.05


def no_trim(recordings: Recordings) -> str | None:
    """Equal duties, unequal ways of the two wheels."""
    recording = recordings[0]
    if unlike(recording)[0] >= 0.004 or not _strayed(recording):
        return None
    duty = percent(mean_duty(recording, "left"))
    longer = "left" if drift(recording) > 0 else "right"
    more = abs(drift(recording))
    return f"both motors got {duty}, but the {longer} wheel rolled {more:.2f} m farther"


def wrong_trim(recordings: Recordings) -> str | None:
    """More duty for the wheel that is the faster one anyway."""
    recording = recordings[0]
    difference, more = unlike(recording)
    if difference < 0.004 or not _strayed(recording) or more != faster_side(recording.serial):
        return None
    return (
        f"the {more} motor got {100 * difference:.1f} % more than the other, yet at equal "
        "duties it is the faster one: the drift grew"
    )


def trim_size(recordings: Recordings) -> str | None:
    """Unequal duties, and still unequal ways."""
    recording = recordings[0]
    difference, more = unlike(recording)
    if difference < 0.004 or not _strayed(recording):
        return None
    left_over = drift(recording)
    longer = "left" if left_over > 0 else "right"
    word = "too much" if longer == more else "too little"
    return (
        f"the {more} motor got {100 * difference:.1f} % more than the other, which is {word}: "
        f"the {longer} wheel still rolled {abs(left_over):.2f} m farther"
    )


def wall(recordings: Recordings) -> str | None:
    """A wall that was run into."""
    met = hit_wall(recordings[0])
    return None if met is None else f"it came to the wall at {met:.1f} s"


def wrong_length(recordings: Recordings) -> str | None:
    """A way shorter or longer than the metre."""
    off = Way.of(recordings[0]).end[0] - 1.0
    if abs(off) > 0.04:
        seconds = sum(phase.seconds for phase in driven(recordings[0], "left"))
        word = "past" if off > 0 else "short of"
        return f"it drove for {seconds:.2f} s and ended {abs(off):.2f} m {word} the metre"
    return None


# -- curve -------------------------------------------------------------------


def swapped(recordings: Recordings) -> str | None:
    """A curve to the other side."""
    recording = recordings[0]
    left, right = (rolled(recording, side) for side in SIDES)
    if left > 1.1 * right > 0:
        return (
            f"it turned to starboard: the left wheel rolled {left:.2f} m and the right one only "
            f"{right:.2f} m"
        )
    return None


def no_curve(recordings: Recordings) -> str | None:
    """Equal duties where a curve was asked."""
    if unlike(recordings[0])[0] < 0.01:
        duty = percent(mean_duty(recordings[0], "left"))
        return f"both motors got {duty}, so the tug went nearly straight"
    return None


def wrong_radius(recordings: Recordings) -> str | None:
    """A circle of another radius."""
    way = Way.of(recordings[0])
    turned = abs(way.turned[-1])
    radius = way.path / turned if turned > 0.1 else math.inf
    if abs(radius - 0.25) <= 0.02:
        return None
    few = "too little" if radius > 0.25 else "too much"
    shown = f"{radius:.2f} m" if radius < 10 else "very large"
    return f"the mean radius was {shown}: the two wheels differ {few}"


def on_the_spot(recordings: Recordings) -> str | None:
    """Turns on the spot where a curve was asked."""
    if hit_wall(recordings[0]) is not None:
        return None
    turns = [turn for straight, _, turn in legs(recordings[0]) if not straight]
    if not turns:
        return None
    turned = math.degrees(sum(map(abs, turns)))
    return f"for {turned:.0f} degrees of its way the wheels turned against each other"


def uneven(recordings: Recordings) -> str | None:
    """A way of the right radius and length that is no circle."""
    way = Way.of(recordings[0])
    off = [abs(math.hypot(ahead, port - 0.25) - 0.25) for ahead, port in way.points]
    if max(off) <= 0.04 or hit_wall(recordings[0]) is not None:
        return None
    return (
        f"on the mean the radius is right, yet at {way.when(off):.1f} s it is {max(off):.2f} m off"
    )


def wrong_arc(recordings: Recordings) -> str | None:
    """More or less than half a turn."""
    turned = math.degrees(Way.of(recordings[0]).turned[-1])
    if abs(turned - 180) > 8:
        seconds = sum(phase.seconds for phase in driven(recordings[0], "right"))
        return f"it drove for {seconds:.2f} s and turned {turned:.0f} degrees in place of 180"
    return None


# -- square ------------------------------------------------------------------


def legs(recording: Recording) -> list[tuple[bool, float, float]]:
    """Cut the way into legs: (straight or a turn, length in m, turned in rad)."""
    found: list[tuple[bool, float, float]] = []
    tracks = recording.tracks
    step = tracks["t"][1]
    kind: bool | None = None
    for left, right in zip(tracks["left"], tracks["right"], strict=True):
        now = None if max(abs(left), abs(right)) < 0.01 else left * right > 0
        if now is None:
            kind = None
            continue
        if now != kind:
            found.append((now, 0.0, 0.0))
            kind = now
        straight, length, turned = found[-1]
        length += step * (left + right) / 2
        found[-1] = (straight, length, turned + step * (right - left) / _TRACK)
    return [leg for leg in found if (abs(leg[1]) > 0.05 if leg[0] else abs(leg[2]) > 0.2)]


def spun(recordings: Recordings) -> str | None:
    """Turns only, no sides."""
    parts = legs(recordings[0])
    if parts and not any(straight for straight, _, _ in parts):
        turned = math.degrees(sum(abs(turn) for _, _, turn in parts))
        return f"the wheels always turned against each other: it spun by {turned:.0f} degrees"
    return None


def no_turn(recordings: Recordings) -> str | None:
    """Sides only, no turns."""
    parts = legs(recordings[0])
    if parts and all(straight for straight, _, _ in parts) and len(parts) >= 1:
        turned = math.degrees(Way.of(recordings[0]).turned[-1])
        if abs(turned) < 120:
            return f"both wheels always turned the same way, {turned:.0f} degrees came of it"
    return None


def to_starboard(recordings: Recordings) -> str | None:
    """Turns to the other side."""
    turns = [turn for straight, _, turn in legs(recordings[0]) if not straight]
    if turns and sum(turns) < -0.5:
        return f"it turned to starboard, by {-math.degrees(turns[0]):.0f} degrees at first"
    return None


def count(recordings: Recordings) -> str | None:
    """Other than four sides and four turns."""
    parts = legs(recordings[0])
    sides = sum(straight for straight, _, _ in parts)
    turns = len(parts) - sides
    if (sides, turns) != (4, 4):
        return f"it drove {sides} sides and made {turns} turns in place of 4 and 4"
    return None


def turn_size(recordings: Recordings) -> str | None:
    """Turns of other than 90 degrees."""
    turns = [math.degrees(turn) for straight, _, turn in legs(recordings[0]) if not straight]
    mean = sum(turns) / len(turns) if turns else 90.0
    if abs(mean - 90) > 3:
        return f"a turn on the spot came to {mean:.0f} degrees on the mean"
    return None


def pivoted(recordings: Recordings) -> str | None:
    """Turns about a wheel that stands, in place of turns on the spot."""
    recording = recordings[0]
    ways = [
        (abs(left), abs(right))
        for left, right in zip(recording.tracks["left"], recording.tracks["right"], strict=True)
        if max(abs(left), abs(right)) > 0.03
    ]
    stood = sum(min(pair) < 0.1 * max(pair) for pair in ways)
    if stood < 0.1 * len(ways) or not any(not straight for straight, _, _ in legs(recording)):
        return None
    seconds = stood * recording.tracks["t"][1]
    return f"for {seconds:.1f} s one wheel stood while the other one turned"


def runs_on(recordings: Recordings) -> str | None:
    """Moves that follow each other without a rest between them."""
    phases = motor_phases(recordings[0], "left")
    moves = [phase for phase in phases if phase.duty]
    if len(moves) < 4:
        return None
    between = [phase for phase in phases if moves[0].begin < phase.begin < moves[-1].begin]
    if sum(not phase.duty for phase in between) < len(moves) // 2:
        return "the next move begins before the last one has come to rest"
    return None


def _bend(recording: Recording) -> float:
    """Give by how many degrees a side of the square bent, on the mean."""
    bends = [math.degrees(turn) for straight, _, turn in legs(recording) if straight]
    return sum(bends) / len(bends) if bends else 0.0


def _aside(degrees: float) -> str:
    return f"{abs(degrees):.0f} degrees to {'port' if degrees > 0 else 'starboard'}"


def _side_duties(recording: Recording) -> float:
    """Give how much more duty the left motor got than the right one while both ran ahead."""
    ahead = [[p for p in driven(recording, side) if p.duty > 0] for side in SIDES]
    pairs = [
        (min(a.end, b.end) - max(a.begin, b.begin), a.duty - b.duty)
        for a in ahead[0] for b in ahead[1] if min(a.end, b.end) > max(a.begin, b.begin)
    ]  # fmt: skip
    total = sum(seconds for seconds, _ in pairs)
    return sum(seconds * more for seconds, more in pairs) / total if total else 0.0


def square_trim(recordings: Recordings) -> str | None:
    """Sides that bend at equal duties."""
    bend = _bend(recordings[0])
    if abs(bend) > 3.5 and abs(_side_duties(recordings[0])) < 0.004:
        return f"with equal duties each side bent by {_aside(bend)} on the mean"
    return None


def square_trim_side(recordings: Recordings) -> str | None:
    """Sides that bend the more for their trim."""
    bend, more = _bend(recordings[0]), _side_duties(recordings[0])
    # To port (positive) bends who gives the right wheel too much.
    if abs(bend) > 3.5 and abs(more) >= 0.004 and more * bend < 0:
        side = "left" if more > 0 else "right"
        if side == faster_side(recordings[0].serial):
            return (
                f"the {side} motor got {100 * abs(more):.1f} % more on the sides, yet it is the "
                f"faster one anyway: each side bent by {_aside(bend)} on the mean"
            )
    return None


def square_trim_size(recordings: Recordings) -> str | None:
    """Sides that bend although the motors get unequal duties."""
    bend, more = _bend(recordings[0]), _side_duties(recordings[0])
    if abs(bend) > 3.5 and abs(more) >= 0.004:
        return f"each side still bent by {_aside(bend)} on the mean"
    return None


def side_size(recordings: Recordings) -> str | None:
    """Sides of other than 0.40 m."""
    sides = [length for straight, length, _ in legs(recordings[0]) if straight]
    mean = sum(sides) / len(sides) if sides else 0.4
    if sides and max(sides) - min(sides) > 0.04:
        return f"the sides are unlike: from {min(sides):.2f} m to {max(sides):.2f} m"
    if abs(mean - 0.4) > 0.03:
        return f"a side came to {mean:.2f} m on the mean in place of 0.40 m"
    return None
