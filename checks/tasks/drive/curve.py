"""Task `drive.curve`: half a circle to port."""

from __future__ import annotations

import math
from functools import cached_property

from robotsim import PINS
from robotsim.show.targets import ArcTarget, PointTarget

from ...readings.bench import Bend, bend
from ...readings.motion import SIDES
from ...task import Clues, Evidence, Finding, Run, Task, criterion, mistake, share
from ...words import amount, told_apart
from .. import motors
from ..motors import percent
from .driving import ANY_TASK, Driving, one_after_the_other, one_side_backwards, stops, to_port
from .straight import ran_into_the_wall

__all__ = ["CURVE"]

RADIUS = 0.25
HALF = 180.0
SECONDS = 10.0
CIRCLE_WITHIN, CIRCLE_NONE = 0.04, 0.15
TURN_WITHIN, TURN_NONE = 10.0, 70.0
"""In degrees; days turn half a circle by time 2 degrees farther or less, and 9 at the most."""
LEAST_AWAY, LEAST_TURN = 0.20, 45.0
_HELD_S, _OTHER_DUTY = 0.3, 0.04
"""A duty held for longer than this, in s, and unlike another by more, makes a curve of its own."""
_BEND_NEAR, _BEND_APART = 0.5, 0.2
"""In 1/m: two efforts with which a tug bends by so much other than asked may be for the circle; and
by how much more the one reading must be off it than the other."""
_TURN_NEAR = 25.0
"""In degrees: what turns by so much other than half a turn, by the bench, was for it."""
X, Y = 0.45, 0.15
"""Where it starts, in m."""


class Curve(Driving):
    """What the recording of a curve says."""

    @cached_property
    def off_circle(self) -> list[float]:
        """How far outside the circle it is, in m, at each moment; inside is negative."""
        return [math.hypot(ahead, port - RADIUS) - RADIUS for ahead, port in self.way.points]

    @property
    def worst(self) -> float:
        """The greatest of these distances, signed."""
        return max(self.off_circle, key=abs)

    @property
    def all_braked(self) -> bool:
        """Whether both motors were braked between their pulses, all the way."""
        return all(phase.braked for side in SIDES for phase in self.phases[side])

    @property
    def radius(self) -> float:
        """Mean radius of its way in m, infinite for a straight one."""
        turned = abs(self.way.turned[-1])
        return self.way.path / turned if turned > 0.1 else math.inf

    @property
    def radius_words(self) -> str:
        """The mean radius as a card says it."""
        return f"{self.radius:.2f} m" if self.radius < 10 else "very large"


@criterion(
    "It turns to port",
    2,
    asks=f"at least {LEAST_TURN:g} degrees to port and {LEAST_AWAY:.2f} m away from the start",
    essential=True,
)
def turns_to_port(seen: Curve) -> Finding:
    away = seen.way.farthest
    part = min(1.0, max(seen.turned_deg, 0.0) / LEAST_TURN)
    part *= share(LEAST_AWAY - away, full=0.0, none=0.12)
    return Finding(part, f"turned {to_port(seen.turned_deg)} and came {away:.2f} m away")


@criterion(
    "It keeps to the circle",
    4,
    asks=f"within {CIRCLE_WITHIN:.2f} m of the circle of {RADIUS:.2f} m radius, all the way",
)
def keeps_to_the_circle(seen: Curve) -> Finding:
    half = min(1.0, abs(seen.turned_deg) / 165)
    words = f"{'outside' if seen.worst > 0 else 'inside'} the circle"
    if seen.radius < 10:
        words += f"; its mean radius is {seen.radius_words}"
    if half < 1.0:
        words += f"; only {amount(abs(seen.turned_deg), 0)} of 180 degrees of it"
    part = share(abs(seen.worst), full=CIRCLE_WITHIN, none=CIRCLE_NONE) * half
    measured = f"up to {told_apart(abs(seen.worst), CIRCLE_WITHIN)} m {words}"
    return Finding(part, measured, at=seen.way.when([abs(off) for off in seen.off_circle]))


@criterion(
    "It turns by half a turn",
    3,
    asks=f"{HALF:g} degrees to port in the end, within {TURN_WITHIN:g}, in {SECONDS:g} s",
)
def half_a_turn(seen: Curve) -> Finding:
    off = abs(seen.turned_deg - HALF)
    measured = f"turned {to_port(seen.turned_deg)}"
    if TURN_WITHIN < off < TURN_WITHIN + 0.5:
        measured += f", {told_apart(off, TURN_WITHIN, 1)} off"
    return Finding(share(off, full=TURN_WITHIN, none=TURN_NONE), measured)


stops_by_itself = stops(SECONDS)
_ALL = [turns_to_port, keeps_to_the_circle, half_a_turn]


@mistake(
    motors.duty_inverted_at_the_stop.name,
    motors.duty_inverted_at_the_stop.hint,
    costs=[turns_to_port],
    explains=[keeps_to_the_circle, half_a_turn, stops_by_itself],
)
def duty_inverted(seen: Curve) -> Clues:
    """Inverted duties look like exchanged sides: they are it if, undone, they do the task."""
    left, right = (seen.duty[side] for side in SIDES)
    if not seen.all_braked or not 0 < right < left < 0.98 or seen.turned_deg > 0:
        return
    undone, exchanged = (
        bend(seen.recording.serial, *two) for two in ((1 - left, 1 - right), (right, left))
    )
    done = _off_circle(undone) < _BEND_NEAR and (
        abs(undone.rate_deg * seen.driven_s["right"] - HALF) < _TURN_NEAR
    )
    if done and _off_circle(undone) + _BEND_APART < _off_circle(exchanged):
        duties = f"{percent(left)} on the left and {percent(right)} on the right motor"
        yield Evidence(
            f"it turned to starboard with {duties}; the rest of the time, {percent(1 - left)} and "
            f"{percent(1 - right)}, would have been the half circle to port",
            f"{motors.duty_inverted_at_the_stop.hint[:-1]}. If {percent(left)} and "
            f"{percent(right)} are what you wrote, left and right are exchanged.",
        )


def _off_circle(way: Bend) -> float:
    return abs(way.curvature - 1 / RADIUS)


@mistake(
    "left and right swapped",
    "to port (left) the right wheel is the outer one and must run faster.",
    costs=[turns_to_port],
    explains=[keeps_to_the_circle, half_a_turn, stops_by_itself],
)
def sides_swapped(seen: Curve) -> Clues:
    left, right = (seen.rolled[side] for side in SIDES)
    serial, duties = seen.recording.serial, (seen.duty["right"], seen.duty["left"])
    if seen.more != "left" or min(*duties, left, right) <= 0:
        return
    if left > 1.1 * right:
        words = (
            f"it turned to starboard: the left wheel rolled {left:.2f} m and the right one only "
            f"{right:.2f} m"
        )
    elif _off_circle(bend(serial, *duties)) < _BEND_NEAR:
        words = "it did not turn to port, and would have with the two efforts exchanged"
    elif duties[1] - duties[0] > _OTHER_DUTY:
        words = "the inner motor of a curve to port got more than the outer one"
    else:
        return
    given = f"the left motor got {percent(duties[1])}, the right one {percent(duties[0])}"
    yield Evidence(f"{words}; {given}", _NOT_AS_WRITTEN if seen.all_braked else "")


_NOT_AS_WRITTEN = (
    "to port (left) the right wheel is the outer one and must run faster. If these are not the "
    "efforts that you wrote, look at the pins of the back inputs, {left_back} on the left and "
    "{right_back} on the right, and at their duty: 1 - effort.".format(**PINS)
)


@mistake(
    "no difference between the wheels",
    "on a curve the outer wheel has farther to go: give it more duty than the inner one.",
    costs=[keeps_to_the_circle],
    explains=[turns_to_port, half_a_turn, stops_by_itself],
)
def no_difference(seen: Curve) -> Clues:
    if seen.duty["left"] and not seen.more:
        duty = percent(seen.duty["left"])
        yield f"both motors got {duty}; the mean radius of the way is {seen.radius_words}"


_TRIED = 15.0
"""Degrees by which a try to one side and back may not come out even."""


@mistake(
    "turned on the spot",
    "let both wheels turn ahead all the way, the outer one faster.",
    costs=[keeps_to_the_circle],
    explains=[turns_to_port, half_a_turn],
)
def turned_on_the_spot(seen: Curve) -> Clues:
    # A try to one side and back, before the curve, cancels out.
    turned = abs(math.degrees(sum(move.turned for move in seen.moves if not move.straight)))
    back = any(phase.duty < 0 for side in SIDES for phase in seen.phases[side])
    if turned > _TRIED and back and seen.wall is None:
        yield f"for {turned:.0f} degrees of its way the wheels turned against each other"


@mistake(
    "radius not yet right",
    "more difference between the two duties makes the circle tighter, less makes it wider.",
    costs=[keeps_to_the_circle],
    explains=[turns_to_port, half_a_turn, stops_by_itself],
)
def radius_not_right(seen: Curve) -> Clues:
    if abs(seen.radius - RADIUS) > 0.02 and abs(seen.worst) > CIRCLE_WITHIN:
        few = "too little" if seen.radius > RADIUS else "too much"
        yield f"the mean radius was {seen.radius_words}: the two wheels differ {few}"


@mistake(
    "driven for the wrong time",
    "new time = old time x 180 / degrees measured.",
    costs=[half_a_turn],
    explains=[turns_to_port, keeps_to_the_circle],
)
def wrong_time(seen: Curve) -> Clues:
    if abs(seen.turned_deg - HALF) > TURN_WITHIN and seen.driven_s["right"]:
        yield (
            f"it drove for {seen.driven_s['right']:.2f} s and turned {to_port(seen.turned_deg)} "
            "in place of 180"
        )


@mistake(
    "not one even curve",
    "a circle needs the same two duties from beginning to end. In fast decay the wheels take "
    "unlike times to start, and it begins too straight: take slow decay, or less duty.",
    costs=[keeps_to_the_circle],
    explains=[half_a_turn, stops_by_itself],
)
def not_even(seen: Curve) -> Clues:
    for side in SIDES:
        held = [p.duty for p in seen.phases[side] if p.duty > 0 and p.seconds > _HELD_S]
        if held and max(held) - min(held) > _OTHER_DUTY:
            shown = ", then ".join(map(percent, held))
            yield f"the {side} motor got {shown}: that is more than one curve"
    even = abs(seen.radius - RADIUS) <= 0.02 and abs(seen.turned_deg - HALF) < 2 * TURN_WITHIN
    if even and seen.wall is None and abs(seen.worst) > CIRCLE_WITHIN:
        at = seen.way.when([abs(off) for off in seen.off_circle])
        off = f"at {at:.1f} s it is {abs(seen.worst):.2f} m off"
        yield f"on the mean the radius is right, yet {off}"


CURVE = Task(
    id="drive.curve",
    title="Half a circle to port",
    program="curve.py",
    runs=(Run(seconds=SECONDS, start=(X, Y, 0.0)),),
    facts=Curve,
    criteria=(turns_to_port, keeps_to_the_circle, half_a_turn, stops_by_itself),
    mistakes=(
        *ANY_TASK,
        one_side_backwards,
        one_after_the_other.bound(costs=[keeps_to_the_circle], explains=[*_ALL, stops_by_itself]),
        motors.duty_inverted_at_the_stop.bound(costs=[stops_by_itself], explains=_ALL),
        duty_inverted,
        motors.not_ended.bound(costs=[stops_by_itself], explains=_ALL),
        motors.left_on.bound(costs=[stops_by_itself], explains=_ALL),
        no_difference,
        sides_swapped,
        turned_on_the_spot,
        not_even,
        radius_not_right,
        wrong_time,
        ran_into_the_wall.bound(costs=[stops_by_itself], explains=_ALL),
    ),
    targets=(
        ArcTarget(
            (X, Y + RADIUS), RADIUS, -math.pi / 2, math.pi / 2, "radius 0.25 m", CIRCLE_WITHIN
        ),
        PointTarget(X, Y + 2 * RADIUS, "stop here", CIRCLE_WITHIN),
    ),
)
"""Ten points."""
