"""Known mistakes of the task `radio.helm` in how fast and how round the tug goes."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ...readings.motion import SIDES, motor_phases
from ...readings.radio import wheels
from ...task import Clues, Mistake, mistake
from ..orders import SOON_S, Trial
from .helm import END_S, SPEED_FULL, STRAIGHT, obeys, radii, speeds
from .passages import HelmOrders, Passage

__all__ = ["SPEED_MISTAKES", "alone", "duty_of", "prompt"]


def prompt(one: Passage) -> bool:
    """Tell whether it was not slept through."""
    return one.heard.came and one.heard.waited < SOON_S


def alone(seen: HelmOrders) -> Iterator[Passage]:
    """Go through the orders to move that were taken in time, with no other one running."""
    over: dict[int, float] = {}
    for one in seen.passages:
        free = one.begin > over.get(one.trial.number, 0.0)
        over[one.trial.number] = max(over.get(one.trial.number, 0.0), one.over + END_S)
        if one.asked and free and prompt(one):
            yield one


def duty_of(trial: Trial, side: str, at: float) -> float:
    """Give the duty of a motor at a time, signed."""
    phases = [p for p in motor_phases(trial.recording, side) if p.begin <= at <= p.end]
    return phases[-1].duty if phases else 0.0


@mistake(
    "speed taken for an effort",
    "0.2 m/s is no duty of 0.2: effort = rest + gain * speed, with your tug's own two numbers.",
)
def _as_duty(seen: HelmOrders) -> Clues:
    for one in alone(seen):
        duties = [duty_of(one.trial, side, one.begin + SOON_S) for side in SIDES]
        if not one.bend and all(abs(abs(duty) - abs(one.asked)) < 0.005 for duty in duties):
            yield f"{one.heard.text} gave both motors a duty of {abs(duties[0]):.2f}"


@mistake(
    "only one wheel is driven",
    "give each of the two wheels its own motor, and its own rest and gain.",
    explains=[obeys, speeds, radii],
)
def _one_wheel(seen: HelmOrders) -> Clues:
    for one in alone(seen):
        duties = {side: duty_of(one.trial, side, one.begin + SOON_S) for side in SIDES}
        if any(duties.values()) and not all(duties.values()):
            left, right = wheels(one.trial.recording, one.begin + SOON_S, one.end)
            yield f"at {one.name} the left wheel rolled {left:.2f} m, the right {right:.2f} m"


@mistake(
    "the speed is not used",
    "the effort of a wheel is its rest plus its gain times the speed that it should have.",
    costs=[speeds],
    explains=[obeys],
)
def _one_speed(seen: HelmOrders) -> Clues:
    some = [one for one in alone(seen) if one.ratio > 0.2]
    got, asked = [one.ratio * abs(one.asked) for one in some], [abs(one.asked) for one in some]
    if len(some) > 3 and max(got) < 1.06 * min(got) and max(asked) > 1.2 * min(asked):
        yield f"all orders gave about {got[0]:.2f} m/s, though they asked for different speeds"


@mistake(
    "numbers that are not this tug's",
    "measure REST and GAIN of each wheel with measure.py, on this tug, and see that left is left.",
    explains=[obeys, speeds, radii],
)
def _other_numbers(seen: HelmOrders) -> Clues:
    for one in alone(seen):
        if one.obeyed and not one.bend:
            if abs(one.bent) > STRAIGHT:
                radius = 1 / one.bent
                yield f"{one.heard.text} is straight on, and became a radius of {radius:.2f} m"
            if abs(one.ratio - 1.0) > SPEED_FULL:
                yield f"{one.heard.text} became {one.ratio * one.asked:.3f} m/s"


def _curve(name: str, hint: str, low: float, high: float, every: bool = True) -> Mistake:
    """Make the mistake whose curves are so many times as tight as asked, from low to high.

    Every one of them is, or some.
    """

    @mistake(name, hint, costs=[radii], explains=[speeds])  # it may lead into a wall
    def look(seen: HelmOrders) -> Clues:
        straight = [one for one in alone(seen) if not one.bend and one.obeyed]
        if any(abs(one.bent) > STRAIGHT for one in straight):
            return  # then it is not the radius that makes them what they are
        curves = [one for one in seen.moves if one.bend and one.obeyed]
        some = [one for one in curves if low < one.bent / one.bend < high]
        if len(some) == len(curves) or not every:
            for one in some:
                side = "port" if one.bent > 0 else "starboard"
                far = abs(1 / one.bent) if one.bent else math.inf
                way = f"a radius of {far:.2f} m to {side}" if far < 5 else "a way nearly straight"
                yield f"{one.heard.text} became {way}"

    return look


SPEED_MISTAKES: tuple[Mistake, ...] = (
    _as_duty,
    _one_wheel,
    _curve(
        "the curve goes to the wrong side",
        "a radius above 0 is to port: there the right wheel is the outer, faster one.",
        -9.0,
        -0.3,
        every=False,
    ),
    _one_speed,
    _other_numbers,
    _curve(
        "the radius is not used",
        "left: speed * (1 - TRACK / 2 / radius); right: speed * (1 + TRACK / 2 / radius).",
        -0.15,
        0.15,
    ),
    _curve(
        "the curves are too tight",
        "each wheel is half the track away from the middle: TRACK / 2 / radius.",
        1.3,
        9.0,
    ),
    _curve(
        "the curves are too wide",
        "one wheel becomes slower, the other as much faster: 1 - bend and 1 + bend.",
        0.15,
        0.7,
    ),
)
