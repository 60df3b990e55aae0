"""Drive: the two bridges, motors and wheels, from pins to motion."""

from __future__ import annotations

import math
import random
from typing import ClassVar

from ..wiring import Signal
from .day import IDEAL, Day
from .part import Part, Surroundings
from .quirks import Quirks
from .side import NOTHING, ROTOR_MASS, Flow, Input, Side
from .wheels import WHEEL_RADIUS, Push, Wheels

__all__ = ["SHORT_STEP", "Drive"]

SHORT_STEP = 0.0025
"""Longest step in s while a wheel slides."""
_TRIES = 3
_CLOSE = 0.1
"""So near in V the supply's voltage is found: what is left is taken as a straight line."""
_SAME_RIM, _SAME_VOLTS = 2e-4, 1e-5
"""Changes in m/s and V up to which the currents are not worked out anew.

They are straight lines in both, so that is exact but for a bend over so little.
"""
_MOMENT = 1e-9
_FULL_VOLTS = 4.8
_NEARLY = 0.9
"""Share of its starting friction from which a wheel may start within a step: the other wheel
takes less than a tenth of the supply's voltage."""
_SOON = 1e-4
"""Shortest time in s to which the moment is found at which it does."""


class Drive(Part):
    """Battery voltage and four pins in, motion out.

    *Model*: bridge -> motor -> gears -> wheels (`parts/side.py`).  Currents and
    the voltage that the battery has left under them are worked out together
    when a step begins, and are linear about the rims' speeds within it.
    *Source*: the pieces name theirs; the figures of the tug are invented.

    Attributes:
        wheels: The wheels, with the tug's pose and speeds.
        drawn: Average current taken from the battery over the last `advance`, in A.
        terminals: Voltage at the battery's terminals when the last step began, in V.
        lowest: The lowest of those in the last `advance`.
    """

    roles: ClassVar[tuple[str, ...]] = ("left_ahead", "left_back", "right_ahead", "right_back")
    tracks: ClassVar[tuple[str, ...]] = ("x", "y", "heading", "left", "right")

    def __init__(self, quirks: Quirks, noise: random.Random) -> None:
        super().__init__(quirks, noise)
        self._build = build = quirks.build
        rotor_mass = ROTOR_MASS * (WHEEL_RADIUS / build.wheel) ** 2
        self.wheels = Wheels(0.0, 0.0, 0.0, rotor_mass, build.track)
        self.meet(IDEAL)
        self._slow, self._stale = False, True
        self.terminals = self.lowest = self._near = _FULL_VOLTS
        self.drawn = 0.0
        self._flows: tuple[Flow, Flow] = (NOTHING, NOTHING)
        self._passing = self._flows
        self._pushes = self._left.push(NOTHING, 0.0, 0.0), self._right.push(NOTHING, 0.0, 0.0)
        self._made_for = self._supply = (0.0, 0.0, 0.0)

    def meet(self, day: Day) -> None:
        """Take today's motors, gears and floor."""
        own, today, sticks, wheel = self.quirks, day.strengths, day.starts, self._build.wheel
        self._left = Side(own.left_strength * today[0], own.left_start, sticks[0], wheel)
        self._right = Side(own.right_strength * today[1], own.right_start, sticks[1], wheel)
        inputs: tuple[Input, ...] = (*self._left.inputs, *self._right.inputs)
        self._inputs = dict(zip(self.roles, inputs, strict=True))
        self._day = day

    def drive(self, role: str, signal: Signal) -> None:
        """Take a new signal on one of the four bridge inputs."""
        if not self._slow:
            left, right = self._passing
            self._left.amps, self._right.amps = left.amps, right.amps
        taker = self._inputs[role]
        taker.take(signal)
        self._stale = True
        self._slow = taker.slow or (self._slow and any(i.slow for i in self._inputs.values()))

    def advance(self, duration: float, around: Surroundings) -> None:
        """Drive on for a time in s."""
        wheels, charge, left_s = self.wheels, 0.0, duration
        self.lowest = around.idle_volts
        while left_s > 1e-12:
            step = min(left_s, SHORT_STEP) if wheels.sliding else left_s
            if self._slow:
                step = min(step, self._left.until_change(self._near, wheels.left),
                           self._right.until_change(self._near, wheels.right))  # fmt: skip
            left, right = self.pushes(around, step)
            rim_l, rim_r = wheels.left, wheels.right
            way_l, way_r = wheels.left_way, wheels.right_way
            if self.rests and not wheels.sliding:
                wheels.stay()
            else:
                left, right = self._on_floor(wheels, step, left, right)
                if self._may_start(left, right):
                    step = self._until_start(step, left, right, around)
                # A wheel that has come to rest is pushed anew: gears at rest feel the ripple.
                step -= wheels.advance(step, left, right, until_rest=True)
            charge += self._passed(step, rim_l, rim_r, way_l, way_r) if step else 0.0
            left_s -= step
        if duration > 0.0:
            self.drawn = charge / duration

    def slide(self, duration: float, around: Surroundings, gone: float = 0.0) -> None:
        """Take a short step in which something may touch: the wheels' speeds change, not the pose.

        The drive's part of what `Wheels.slide` does.

        Args:
            duration: In s.
            around: What is around the tug.
            gone: How many s of the world's step have gone before; `drawn` and `lowest` are of both.
        """
        wheels, charge = self.wheels, gone * self.drawn
        self.lowest = min(self.lowest, around.idle_volts) if gone else around.idle_volts
        left, right = self.pushes(around, duration)
        left, right = self._on_floor(wheels, duration, left, right)
        rim_l, rim_r = wheels.left, wheels.right
        way_l, way_r = wheels.left_way, wheels.right_way
        wheels.slide(duration, left, right)
        charge += self._passed(duration, rim_l, rim_r, way_l, way_r)
        self.drawn = charge / (gone + duration)

    def stand(self, duration: float) -> None:
        """Let time in s pass over wheels whose speeds do not change: standing, or spinning."""
        wheels = self.wheels
        wheels.left_way += wheels.left * duration
        wheels.right_way += wheels.right * duration
        self.drawn = self._drawn_at(wheels.left, wheels.right)

    @property
    def pulsed(self) -> bool:
        """Whether a pulse train is so slow that each pulse is followed."""
        return self._slow

    @property
    def rests(self) -> bool:
        """Whether both wheels stand and nothing pushes them, whatever the battery's voltage."""
        left, right = self._pushes
        return not (self._slow or self.wheels.left or self.wheels.right or left.jolt or right.jolt)

    def pushes(self, around: Surroundings, step: float = _MOMENT) -> tuple[Push, Push]:
        """Give what turns the two wheels in a step of so many s, and note the current drawn."""
        wheels, idle = self.wheels, around.idle_volts
        volts, left, right = self._made_for
        if (
            self._stale
            or self._slow
            or abs(idle - volts) > _SAME_VOLTS
            or abs(wheels.left - left) > _SAME_RIM
            or abs(wheels.right - right) > _SAME_RIM
        ):
            self._work_out(idle, around.source_ohm, step)
        self.amps = self._drawn_at(wheels.left, wheels.right)
        return self._pushes

    def ahead(self, duration: float, around: Surroundings) -> Wheels:
        """Give how the wheels will stand and turn after a time in s, and change nothing."""
        if not self._slow:
            wheels = self.wheels.twin()
            left, right = self.pushes(around)
            left, right = self._on_floor(wheels, duration, left, right)
            if not self._may_start(left, right) and not wheels.advance(
                duration, left, right, until_rest=True
            ):
                return wheels
        twin = self.twin()
        twin.advance(duration, around)
        return twin.wheels

    def twin(self) -> Drive:
        """Give another one that drives as this one does."""
        twin = Drive(self.quirks, self.noise)
        twin.wheels, twin._day = self.wheels.twin(), self._day
        twin._left, twin._right = self._left.twin(), self._right.twin()
        twin._inputs = dict(zip(self.roles, twin._left.inputs + twin._right.inputs, strict=True))
        twin._slow, twin._stale, twin.amps, twin.drawn = (
            self._slow, self._stale, self.amps, self.drawn
        )  # fmt: skip
        twin.terminals, twin.lowest, twin._near = self.terminals, self.lowest, self._near
        twin._flows, twin._passing, twin._pushes = self._flows, self._passing, self._pushes
        twin._made_for, twin._supply = self._made_for, self._supply
        return twin

    def readings(self) -> tuple[float, ...]:
        """Give pose and speeds, in m, rad and m/s."""
        w = self.wheels
        return w.x, w.y, w.heading, w.left, w.right

    def _may_start(self, left: Push, right: Push) -> bool:
        """Tell whether a wheel may start because the other, as it turns faster, takes less."""
        wheels = self.wheels
        if self._slow or bool(wheels.left) == bool(wheels.right):
            return False
        rests = right if wheels.left else left
        return _NEARLY * rests.hold < abs(rests.jolt) <= rests.hold

    def _until_start(
        self, step: float, left: Push, right: Push, around: Surroundings
    ) -> float:
        """Give how long in s, of a step, a wheel that may start stays at rest."""
        side = 1 if self.wheels.left else 0
        ahead, kept = self.wheels.twin(), self.wheels
        ahead.advance(step, left, right)
        self.wheels = ahead
        now, then = (left, right)[side], self.pushes(around)[side]
        self.wheels = kept
        more = abs(then.jolt) - abs(now.jolt)
        if ahead.sliding or (ahead.right if side else ahead.left) or abs(then.jolt) <= now.hold:
            return step
        return min(step, max(step * (now.hold - abs(now.jolt)) / more, _SOON))

    def _on_floor(
        self, wheels: Wheels, step: float, left: Push, right: Push
    ) -> tuple[Push, Push]:
        """Give the pushes with what the floor's grain adds, where a step of so many s takes them.

        Each wheel has the grain beneath it, halfway through the step.
        """
        drag, scrub = self._day.drag, self._day.scrub
        if drag is None or scrub is None:
            return left, right
        half = 0.5 * step
        heading, ahead = wheels.heading + half * wheels.turn_rate, half * wheels.speed
        cos, sin = math.cos(heading), math.sin(heading)
        x, y = wheels.x + ahead * cos, wheels.y + ahead * sin
        track = self._build.track
        wheels.turn_on(track * (1.0 + scrub.at(x, y)))
        aside, along = 0.5 * track * sin, 0.5 * track * cos
        more_l, more_r = drag.at(x - aside, y + along), drag.at(x + aside, y - along)
        return left.dragged(more_l), right.dragged(more_r)

    def _work_out(self, idle: float, ohm: float, step: float) -> None:
        """Find the currents and the voltage that they leave: each depends on the other."""
        rim_l, rim_r = self.wheels.left, self.wheels.right
        one, other, volts = self._left, self._right, self._near
        for _ in range(_TRIES):
            left, right = one.flow(volts, rim_l, step), other.flow(volts, rim_r, step)
            supply, gain = left.supply + right.supply, left.supply_gain + right.supply_gain
            more = (idle - ohm * supply - volts) / (1.0 + ohm * gain)
            volts += more
            if abs(more) < _CLOSE:
                break
        self.terminals, self.lowest = volts, min(self.lowest, volts)
        self._flows = left, right
        self._pushes = one.push(left, rim_l, more), other.push(right, rim_r, more)
        slopes = left.supply_slope * one.emf, right.supply_slope * other.emf
        self._supply = (supply + more * gain, *slopes)
        self._made_for, self._stale = (idle, rim_l, rim_r), False

    def _drawn_at(self, left: float, right: float) -> float:
        """Give the current in A that is drawn at two speeds in m/s of the rims."""
        amps, slope_l, slope_r = self._supply
        _, made_l, made_r = self._made_for
        return amps - slope_l * (left - made_l) - slope_r * (right - made_r)

    def _passed(
        self, step: float, left: float, right: float, left_way: float, right_way: float
    ) -> float:
        """Note that a step has passed since the rims had those speeds and ways; give As drawn."""
        wheels = self.wheels
        # Kept of steps alone: what somebody looks up in between must not leave a trace.
        self._near, self._passing = self.terminals, self._flows
        if self._slow:
            self._left.pass_time(step, self.terminals, (left, wheels.left))
            self._right.pass_time(step, self.terminals, (right, wheels.right))
        way_l, way_r = wheels.left_way - left_way, wheels.right_way - right_way
        return step * self._drawn_at(way_l / step, way_r / step)
