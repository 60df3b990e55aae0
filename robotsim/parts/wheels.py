"""Wheels: two driven wheels, the floor's grip, and where that takes the tug."""

from __future__ import annotations

import math

from ..units import GRAVITY
from ..wiring import DRAWN
from .linear import advance

__all__ = [
    "HULL_RADIUS",
    "MASS",
    "TRACK",
    "TURNING_INERTIA",
    "WHEEL_RADIUS",
    "Push",
    "Wheels",
    "grip_limit",
]

HULL_RADIUS = 0.058
MASS = 0.34
TRACK = DRAWN.track
WHEEL_RADIUS = DRAWN.wheel
TURNING_INERTIA = 0.5 * MASS * HULL_RADIUS**2
"""About the axle's middle, in kg m^2: a uniform disc (invented)."""
GRIP = 0.8
"""Friction of a rubber tyre on the printed floor (invented; rubber on dry paper 0.6 to 1)."""
WHEEL_SHARE = 0.68
"""Share of the weight on the two wheels, the rest on the caster 38 mm ahead (invented)."""
_GRIPS = GRIP * 0.5 * WHEEL_SHARE * MASS * GRAVITY
"""Force in N that one wheel can pass to the floor."""
_LEAN = 2.0
"""Hardest lasting push of what the hull leans on, in grips of one wheel: both wheels push."""
SLIDE_STEP = 0.5e-3
"""Step in s while a wheel slides over the floor."""


class Push:
    """What turns one wheel, as a force at its rim, linear about the present speed.

    Attributes:
        force: Force in N at the present rim speed, friction in the gears not yet taken off.
        slope: Fall of the force for each m/s more, in N s/m.
        jolt: The largest force within a PWM cycle as far as the gears feel it, in N.
        hold: Friction that keeps a wheel at rest from starting, in N.
        drag: Friction in the gears of a turning wheel, in N.
        rim: The speed in m/s at which `force` holds.
    """

    __slots__ = ("drag", "force", "hold", "jolt", "rim", "slope")

    def __init__(
        self, force: float, slope: float, jolt: float, hold: float, drag: float, rim: float
    ) -> None:
        self.force, self.slope, self.jolt = force, slope, jolt
        self.hold, self.drag, self.rim = hold, drag, rim

    def dragged(self, more: float) -> Push:
        """Give the same with so many N more against the turning wheel."""
        return Push(self.force, self.slope, self.jolt, self.hold, self.drag + more, self.rim)


class Wheels:
    """A round hull on two wheels: speeds, grip and pose.

    *Model*: while both wheels grip, the rim speeds obey M v' = f - G v with the
    mass matrix of the hull and the motors' armatures, solved in closed form
    between two commands; a wheel at rest stays so until more than its starting
    friction acts.  The pose follows in arcs, exact at steady speeds.  When
    the floor cannot pass the force (friction circle), the wheel slides: then
    short steps with impulses that are limited by the grip.
    *Source*: differential drive, University of Freiburg exercise sheet
    (transcription); impulses limited by friction as in contact solvers.

    Args:
        x, y, heading: Where the tug stands at first, in m and rad.
        rotor_mass: An armature's inertia as a mass at the rim, in kg.
        track: From wheel to wheel, in m.

    Attributes:
        left, right: Speeds of the rims in m/s.
        left_way, right_way: How far the rims have turned since the beginning, in m.
        speed, turn_rate: Of the hull, in m/s and rad/s.
        acceleration: Change of `speed` over the last step, in m/s^2.
        sliding: Whether a wheel slides over the floor.
        held_back: What the hull leans on makes of its speeds, in m/s^2 and rad/s^2.
        track: The track on which the tyres turn the hull, in m.
    """

    def __init__(
        self, x: float, y: float, heading: float, rotor_mass: float, track: float = TRACK
    ) -> None:
        self.x, self.y, self.heading = x, y, heading
        self.left = self.right = self.left_way = self.right_way = 0.0
        self.speed = self.turn_rate = self.acceleration = 0.0
        self.sliding = False
        self.held_back = 0.0, 0.0
        self.rotor_mass = rotor_mass
        self.turn_on(track)

    def turn_on(self, track: float) -> None:
        """Take the track in m on which the tyres turn the hull; they are no points."""
        self.track = track
        turn = TURNING_INERTIA / track**2
        self._own = MASS / 4 + turn + self.rotor_mass
        self._cross = MASS / 4 - turn

    def advance(
        self, duration: float, left: Push, right: Push, *, until_rest: bool = False
    ) -> float:
        """Live on for a time in s under steady pushes; give what is left of it.

        That is nothing, unless it is to be `until_rest`, and a wheel comes to rest before.
        """
        self.held_back = 0.0, 0.0
        for _ in range(1000):  # more changes of state than a step can hold
            turned = self.left, self.right
            if duration <= 0.0:
                return 0.0
            if not self.sliding:
                duration = self._roll(duration, left, right)
            if self.sliding:
                step = min(duration, SLIDE_STEP)
                before = self.speed, self.turn_rate
                self.slide(step, left, right)
                speed, turn_rate = before[0] + self.speed, before[1] + self.turn_rate
                self._arc(0.5 * step * speed, 0.5 * step * turn_rate)
                duration -= step
            if until_rest and (turned[0] and not self.left or turned[1] and not self.right):
                return max(duration, 0.0)
        return 0.0

    def stay(self) -> None:
        """Live on at rest, which no time changes."""
        self.held_back, self.acceleration = (0.0, 0.0), 0.0

    def pushed(self, duration: float, speed: float, turn_rate: float) -> None:
        """Take the hull's speeds after what it touches has pushed on it for a time in s.

        What it leans on pushes in the next step too, so the wheels reckon with it there: else
        hull and rims would differ by what a step changes.  A blow, which takes no time, is over.
        """
        slower, turned = speed - self.speed, turn_rate - self.turn_rate
        most = _LEAN * duration * _GRIPS
        slower = min(max(slower, -most / MASS), most / MASS)
        turn = most * HULL_RADIUS / TURNING_INERTIA
        turned = min(max(turned, -turn), turn)
        self.held_back = (slower / duration, turned / duration) if duration else (0.0, 0.0)
        self.speed, self.turn_rate, self.sliding = speed, turn_rate, True

    def twin(self) -> Wheels:
        """Give others that stand and turn as these do."""
        twin = Wheels(self.x, self.y, self.heading, self.rotor_mass)
        twin.left, twin.right = self.left, self.right
        twin.left_way, twin.right_way = self.left_way, self.right_way
        twin.speed, twin.turn_rate = self.speed, self.turn_rate
        twin.acceleration, twin.sliding = self.acceleration, self.sliding
        twin.held_back, twin.track = self.held_back, self.track
        twin._own, twin._cross = self._own, self._cross
        return twin

    def move(self, duration: float) -> None:
        """Move the hull along an arc at its present speeds for a time in s."""
        self._arc(self.speed * duration, self.turn_rate * duration)

    def _arc(self, length: float, turned: float) -> None:
        half = 0.5 * turned
        chord = length * (math.sin(half) / half if half else 1.0)
        self.x += chord * math.cos(self.heading + half)
        self.y += chord * math.sin(self.heading + half)
        self.heading += turned

    # -- rolling -------------------------------------------------------------

    def _roll(self, duration: float, left: Push, right: Push) -> float:
        """Roll until something changes; give the time that is then left."""
        before = rim_l, rim_r = self.left, self.right
        way_l, way_r = _way(rim_l, left), _way(rim_r, right)
        if not way_l and not way_r:
            self.acceleration = 0.0
            return 0.0
        slope_l, slope_r = left.slope, right.slope
        net_l = left.force - slope_l * (rim_l - left.rim) - way_l * left.drag
        net_r = right.force - slope_r * (rim_r - right.rim) - way_r * right.drag
        own, cross = self._own, self._cross
        more_l, more_r = own * net_l - cross * net_r, own * net_r - cross * net_l
        if way_l and way_r:
            # A wheel about to start stays where it is if the hull's own change pushes harder.
            if not rim_l and more_l * way_l <= 0.0:
                way_l = 0.0
            elif not rim_r and more_r * way_r <= 0.0:
                way_r = 0.0
        if way_l and way_r:
            det = own * own - cross * cross
            matrix = (
                -own * slope_l / det, cross * slope_r / det,
                cross * slope_l / det, -own * slope_r / det,
            )  # fmt: skip
            rate = more_l / det, more_r / det
        elif way_l:
            matrix, rate = (-slope_l / own, 0.0, 0.0, 0.0), (net_l / own, 0.0)
        else:
            matrix, rate = (0.0, 0.0, 0.0, -slope_r / own), (0.0, net_r / own)
        if self._too_violent(rate[0], rate[1]):
            self.sliding = True
            return duration
        after, path = advance(matrix, before, rate, duration)
        lasted = duration
        for side, way in ((0, way_l), (1, way_r)):
            if way and after[side] * way < 0.0:
                lasted = _crossing(matrix, before, rate, lasted, side, way)
                after, path = advance(matrix, before, rate, lasted)
                after = (0.0, after[1]) if side == 0 else (after[0], 0.0)
        self.left, self.right = after
        path_l, path_r = path
        self.left_way += path_l
        self.right_way += path_r
        self._arc(0.5 * (path_l + path_r), (path_r - path_l) / self.track)
        speed = 0.5 * (self.left + self.right)
        self.acceleration = (speed - self.speed) / lasted if lasted else self.acceleration
        self.speed, self.turn_rate = speed, (self.right - self.left) / self.track
        return duration - lasted

    def _too_violent(self, rate_l: float, rate_r: float) -> bool:
        """Tell whether the floor cannot pass what these rim accelerations take."""
        along = 0.25 * MASS * (rate_l + rate_r)
        about = TURNING_INERTIA * (rate_r - rate_l) / self.track**2
        aside = 0.5 * MASS * self.speed * self.turn_rate
        limit = _GRIPS**2 - aside * aside
        return (along + about) ** 2 > limit or (along - about) ** 2 > limit

    # -- sliding -------------------------------------------------------------

    def slide(self, duration: float, left: Push, right: Push) -> None:
        """Take one short step in which the floor passes no more than its grip.

        Changes the speeds of wheels and hull, not the pose.
        """
        rims = self.left, self.right
        one, other = self._free(duration, rims[0], left), self._free(duration, rims[1], right)
        give_l, give_r, slides = self._gives(duration, one, other)
        for _ in range(2):  # it may start, and then be held nevertheless
            first = self._gripped(duration, one, rims[0], left, give_l)
            second = self._gripped(duration, other, rims[1], right, give_r)
            if first is one and second is other:
                break
            one, other = first, second
            give_l, give_r, slides = self._gives(duration, one, other)
        self.left, self.right = one.after(give_l), other.after(give_r)
        self.left_way += 0.5 * duration * (self.left + rims[0])
        self.right_way += 0.5 * duration * (self.right + rims[1])
        before = self.speed
        self.speed += (give_l + give_r) / MASS
        self.turn_rate += (give_r - give_l) * 0.5 * self.track / TURNING_INERTIA
        self.acceleration = (self.speed - before) / duration
        self.sliding = slides

    def _gives(self, duration: float, one: _Rim, other: _Rim) -> tuple[float, float, bool]:
        """Give the impulses in N s that the wheels pass to the floor, and whether they slide."""
        # Impulses that would bring both rims to the floor's speed ...
        speed = self.speed + duration * self.held_back[0]
        half = 0.5 * self.track * (self.turn_rate + duration * self.held_back[1])
        slip_l, slip_r = one.rim - (speed - half), other.rim - (speed + half)
        turn = self.track**2 / (4.0 * TURNING_INERTIA)
        own, cross = 1.0 / MASS + turn, 1.0 / MASS - turn
        own_l, own_r = own + one.ease, own + other.ease
        det = own_l * own_r - cross * cross
        want_l = (own_r * slip_l - cross * slip_r) / det
        want_r = (own_l * slip_r - cross * slip_l) / det
        # ... of which the floor gives what its grip allows.
        aside = 0.5 * MASS * self.speed * self.turn_rate
        limit = duration * math.sqrt(max(_GRIPS**2 - aside * aside, 0.0))
        give_l = min(max(want_l, -limit), limit)
        give_r = min(max(want_r, -limit), limit)
        if give_l != want_l or give_r != want_r:  # what one cannot pass changes the other's part
            for _ in range(3):
                want_r = (slip_r - cross * give_l) / own_r
                give_r = min(max(want_r, -limit), limit)
                want_l = (slip_l - cross * give_r) / own_l
                give_l = min(max(want_l, -limit), limit)
        return give_l, give_r, give_l != want_l or give_r != want_r

    def _free(self, duration: float, rim: float, push: Push, floor: float = 0.0) -> _Rim:
        """Give a rim after a step but for what it passes to the floor, which helps it to start."""
        way = _way(rim, push, floor)
        if not way:
            return _HELD
        # An impulse acts on a rim all through the step, and the motor's push answers half of it.
        ease = 1.0 / (self.rotor_mass + 0.5 * duration * push.slope)
        force = push.force - push.slope * (rim - push.rim) - way * push.drag
        return _Rim(rim + duration * force * ease, ease, way)

    def _gripped(self, duration: float, one: _Rim, rim: float, push: Push, give: float) -> _Rim:
        """Give what friction in the gears makes of a rim from which the floor takes an impulse.

        It lets a rim at rest start, or stops one; what turns back, turns by its motor alone.
        """
        if not one.way:
            return one if rim else self._free(duration, rim, push, -give / duration)
        if one.after(give) * one.way >= 0.0:
            return one
        still = push.force + push.slope * push.rim
        if not rim or abs(still) <= push.hold or one.rim * one.way >= 0.0:
            return _HELD
        rest = duration * one.rim / (one.rim - rim)
        ease = 1.0 / (self.rotor_mass + rest * push.slope)
        return _Rim(rest * (still + one.way * push.drag) * ease, ease, -one.way)


class _Rim:
    """A rim after a sliding step but for the floor: its speed, what an impulse adds, its way.

    Attributes:
        rim: Speed in m/s.
        ease: What an impulse of 1 N s from the floor takes of it, in m/s; 0 for a rim that rests.
        way: The way it turns or is about to: 1, -1, or 0.
    """

    __slots__ = ("ease", "rim", "way")

    def __init__(self, rim: float, ease: float, way: float) -> None:
        self.rim, self.ease, self.way = rim, ease, way

    def after(self, give: float) -> float:
        """Give the speed in m/s with an impulse in N s that the floor passes on to the hull."""
        return self.rim - give * self.ease


_HELD = _Rim(0.0, 0.0, 0.0)


def _way(rim: float, push: Push, floor: float = 0.0) -> float:
    """Give the way a wheel turns or is about to: 1, -1, or 0 for one that stays at rest.

    The floor may help with a force in N.
    """
    if rim:
        return math.copysign(1.0, rim)
    if abs(push.jolt + floor) > push.hold and abs(push.force + floor) > push.drag:
        return math.copysign(1.0, push.force + floor)
    return 0.0


def grip_limit() -> float:
    """Give the force that one wheel can pass to the floor, in N."""
    return _GRIPS


def _crossing(
    matrix: tuple[float, float, float, float], state: tuple[float, float],
    rate: tuple[float, float], duration: float, side: int, way: float,
) -> float:  # fmt: skip
    """Find when a rim's speed passes through 0, by halving."""
    low, high = 0.0, duration
    for _ in range(40):
        middle = 0.5 * (low + high)
        if advance(matrix, state, rate, middle)[0][side] * way < 0.0:
            high = middle
        else:
            low = middle
    return high
