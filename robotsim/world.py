"""World: the tug's parts and the table, as the board's pins find them."""

from __future__ import annotations

import bisect
import math
import random
from typing import Any

from .board.faults import Restart
from .parts import PARTS, Battery, Drive, Lamps, MotionSensor, Servo
from .parts.part import Part
from .parts.quirks import Quirks
from .parts.wheels import HULL_RADIUS, MASS, TURNING_INERTIA, grip_limit
from .recording import SAMPLE_NS, Event
from .table import Table
from .table.bodies import Bodies, Hull
from .units import SECOND
from .wiring import FLOATING, PINS, Signal

__all__ = ["TugWorld"]

_ROLES = {pin: role for role, pin in PINS.items()}
_BUS = (PINS["scl"], PINS["sda"])
_BURST_NS = 1_000_000
"""Within this time in ns the same signal on the same pin is not taken anew."""
_BOARD_AMPS = 0.08
"""What the board itself draws in A (invented; such boards draw 50 to 240 mA with Wi-Fi)."""
_TOUCH_NS = 1_000_000
"""Longest step while something may touch."""
_LEANING = 0.01
"""Speed in m/s below which a hull that touches a wall is taken to lean on it."""
_BUMPER_REACH = math.radians(50.0)
"""How far to each side of the bow the bumper feels a push (invented)."""
_GLANCE_NS = 500_000
"""How far ahead of the last step a sensor's reading takes the motion as even: 0.5 ms.
At the tug's hardest 15 m/s^2 that is off by less than 2 um."""


class TugWorld:
    """One tug on one table: it answers the board, and it is the parts' surroundings.

    It is lazy: outputs wait in a list until someone looks, and then tug and
    table are stepped from one output's change to the next.

    Args:
        table: The table.
        quirks: The tug's quirks.
        seed: Seed of everything random.
        start: Where the tug stands, (x in m, y in m, heading in rad); None for
            the table's own place.
        charge: How full the battery is, 0 to 1.
    """

    def __init__(
        self,
        table: Table,
        quirks: Quirks,
        seed: int,
        start: tuple[float, float, float] | None,
        charge: float,
    ) -> None:
        self.table = table
        self.floor = table.floor
        self.now_ns = 0
        self.battery = Battery(charge)
        self.parts: dict[str, Part] = {
            name: kind(quirks, random.Random(f"{seed} {quirks.serial} {name}"))
            for name, kind in PARTS.items()
        }
        self._by_role = {role: part for part in self.parts.values() for role in part.roles}
        self._drive: Drive = self._part(Drive)
        self._lamps: Lamps = self._part(Lamps)
        self._arm: Servo = self._part(Servo)
        self._motion: MotionSensor = self._part(MotionSensor)
        others = [part for part in self.parts.values() if part is not self._drive]
        self._living = [part for part in others if type(part).advance is not Part.advance]
        self._others = others
        self._waiting: list[tuple[int, int, Signal]] = []
        self._put: dict[int, tuple[int, Signal]] = {}
        self.wheels = self._drive.wheels
        self.wheels.x, self.wheels.y, self.wheels.heading = start or table.start
        wheels = self.wheels
        self._hull = Hull(wheels.x, wheels.y, wheels.heading)
        self._bodies = Bodies(table, HULL_RADIUS, MASS, TURNING_INERTIA, grip=2 * grip_limit())
        self._docked = self._bodies.docked
        self.happened: list[Event] = []
        self.pressed = False
        self.amps = _BOARD_AMPS + sum(part.amps for part in others)
        self.supply_volts = self.battery.volts(self.amps)
        self._look()
        readings = self._readings()
        self._names = tuple(readings)
        self._pose = tuple(self._names.index(name) for name in ("x", "y", "heading"))
        self._row = tuple(readings.values())
        self._rates = (0.0, 0.0, 0.0)
        self._rows = [self._row]

    def _part(self, kind: type[Any]) -> Any:
        return next(part for part in self.parts.values() if isinstance(part, kind))

    # -- what the board asks -------------------------------------------------

    def output(self, pin: int, signal: Signal, at_ns: int) -> None:
        """Put a signal on a pin from a time on; it replaces what was to come later on that pin."""
        if _ROLES.get(pin) not in self._by_role:
            return
        before_ns, before = self._put.get(pin, (0, None))
        if signal == before and 0 <= at_ns - before_ns < _BURST_NS:
            return  # a loop without rest puts the same on a pin again and again
        later = bisect.bisect_left(self._waiting, (at_ns,))
        self._waiting[later:] = [w for w in self._waiting[later:] if w[1] != pin]
        bisect.insort(self._waiting, (at_ns, pin, signal))
        self._put[pin] = (at_ns, signal)

    def let_go(self, time_ns: int) -> None:
        """Take every signal off the pins from a time on, as a board does that starts anew."""
        self._waiting = [w for w in self._waiting if w[0] < time_ns]
        self._put.clear()
        for role in self._by_role:
            self.output(PINS[role], FLOATING, time_ns)

    def advance_to(self, time_ns: int) -> None:
        """Bring tug and table to a time, from one change of an output to the next.

        Raises:
            Restart: The battery could not hold the board's supply on the way.
        """
        while self._waiting and self._waiting[0][0] <= time_ns:
            at_ns, pin, signal = self._waiting.pop(0)
            self._step_to(at_ns)
            role = _ROLES[pin]
            self._by_role[role].drive(role, signal)
        self._step_to(time_ns)

    def volts(self, pin: int, time_ns: int) -> float:
        """Give the voltage on a pin at a time; an open pin floats near 0."""
        if not self._is_near(time_ns):
            self.advance_to(time_ns)
        return self._volts(pin, time_ns)

    def glance(self, pin: int, time_ns: int) -> float | None:
        """Give the voltage on a pin at a time just ahead; None if that needs a step first."""
        return self._volts(pin, time_ns) if self._is_near(time_ns) else None

    def _is_near(self, time_ns: int) -> bool:
        """Tell whether the motion up to a time can be taken as even."""
        if self._waiting and self._waiting[0][0] <= time_ns:
            return False
        return 0 <= time_ns - self.now_ns <= _GLANCE_NS

    def _volts(self, pin: int, time_ns: int) -> float:
        self._look((time_ns - self.now_ns) / SECOND)
        role = _ROLES.get(pin, "")
        if role == "battery":
            return self.battery.pin_volts(self.amps)
        part = self._by_role.get(role)
        return part.volts(role, self) if part else 0.0

    def level(self, pin: int, time_ns: int) -> int | None:
        """Give the level that a part puts on a pin at a time."""
        self.advance_to(time_ns)
        role = _ROLES.get(pin, "")
        part = self._by_role.get(role)
        return part.level(role, self) if part else None

    def edge(self, pins: tuple[int, ...], until_ns: int) -> int | None:
        """Go on until the level on one of some pins changes, and give when; None if it does not."""
        parts = [(self._by_role[role], role) for pin in pins if (role := _ROLES.get(pin, ""))
                 in self._by_role]  # fmt: skip
        before = [part.level(role, self) for part, role in parts]
        while self.now_ns < until_ns:
            near = self._bodies.busy(self._hull)
            until = min(until_ns, self.now_ns + (_TOUCH_NS if near else SAMPLE_NS))
            for part, _ in parts:
                ahead = part.next_edge()
                if ahead is not None:
                    until = min(until, self.now_ns + math.ceil(ahead * SECOND))
            self.advance_to(until)
            if [part.level(role, self) for part, role in parts] != before:
                return self.now_ns
        return None

    def frame(self, pin: int, data: bytes, timing: int, time_ns: int) -> Any:
        """Send a frame to the chain of lamps at a time."""
        if _ROLES.get(pin) != "lamps":
            return None
        self.advance_to(time_ns)
        return self._lamps.frame(data, timing)

    def transfer(
        self, bus: tuple[int, int], address: int, written: bytes, count: int, time_ns: int
    ) -> bytes | None:
        """Speak with a part on the I2C bus at a time."""
        if bus != _BUS or address != self._motion.address:
            return None
        self.advance_to(time_ns)
        return self._motion.transfer(written, count, self)

    # -- living on -----------------------------------------------------------

    def _look(self, ahead: float = 0.0) -> None:
        """Note where the tug is, or will be after a moment of even motion."""
        wheels = self.wheels
        self.speed, self.turn_rate = wheels.speed, wheels.turn_rate
        self.acceleration = wheels.acceleration
        self.x, self.y, self.heading = wheels.x, wheels.y, wheels.heading
        if ahead:
            self.x += wheels.speed * ahead * math.cos(wheels.heading)
            self.y += wheels.speed * ahead * math.sin(wheels.heading)
            self.heading += wheels.turn_rate * ahead

    def _step_to(self, time_ns: int) -> None:
        while self.now_ns < time_ns:
            touching = self._bodies.busy(self._hull)
            until = min(time_ns, self.now_ns + (self._touch_ns() if touching else SAMPLE_NS))
            self._step((until - self.now_ns) / SECOND, touching)
            before, self.now_ns = self.now_ns, until
            self._sample(before, until)
            if self.battery.brown_out:
                raise Restart(until, "brown-out")

    def _step(self, duration: float, touching: bool) -> None:
        if touching:
            self._touch(duration)
        else:
            self._drive.advance(duration, self)
            self._bodies.drift(duration)
            self.pressed = False
        self._look()
        for part in self._living:
            part.advance(duration, self)
        self._follow(touching)
        if self._bodies.docked != self._docked:
            self._docked = not self._docked
            self._note("dock", "in" if self._docked else "out")
        amps = _BOARD_AMPS + self._drive.amps
        for part in self._others:
            amps += part.amps
        self.battery.draw(amps, duration)
        self.amps = amps
        self.supply_volts = self.battery.volts(amps)

    def _touch_ns(self) -> int:
        """Give how long a step may be now: a tug that only leans on a wall needs no short ones."""
        leans = self._bodies.ball is None and abs(self.speed) < _LEANING
        return 4 * _TOUCH_NS if leans else _TOUCH_NS

    def _follow(self, touching: bool) -> None:
        """Bring the solid hull to where the wheels and the arm's servo have taken it."""
        hull, arm = self._hull, self._arm
        hull.arm_angle, hull.arm_rate = arm.angle, arm.rate
        if touching:  # then the hull went first, and may be sliding sideways
            return
        hull.x, hull.y, hull.heading = self.x, self.y, self.heading
        hull.vx = self.speed * math.cos(self.heading)
        hull.vy = self.speed * math.sin(self.heading)
        hull.turn_rate = self.turn_rate

    def _touch(self, duration: float) -> None:
        """Take a short step in which the hull may push and be pushed."""
        wheels, hull = self.wheels, self._hull
        wheels.slide(duration, *self._drive.pushes(self.supply_volts))
        self._drive.pass_time(duration)
        hull.drive(wheels.speed, wheels.turn_rate)
        for touch in self._bodies.step(duration, hull):
            self._note("touch", touch.what, round(touch.impulse, 9))
        wheels.x, wheels.y, wheels.heading = hull.x, hull.y, hull.heading
        wheels.speed, wheels.turn_rate = hull.speed, hull.turn_rate
        wheels.sliding = True
        self.pressed = any(
            touch.what in ("wall", "float") and abs(touch.bearing) < _BUMPER_REACH
            for touch in self._bodies.contacts
        )

    def _note(self, kind: str, *data: Any) -> None:
        self.happened.append(Event(self.now_ns, kind, data))

    # -- recording -----------------------------------------------------------

    def _readings(self) -> dict[str, float]:
        row = {"t": self.now_ns / SECOND}
        for part in self.parts.values():
            row.update(part.readings())
        if self._bodies.ball:
            row["float_x"], row["float_y"] = self._bodies.ball.x, self._bodies.ball.y
        row["volts"], row["amps"] = self.supply_volts, self.amps
        return row

    def _sample(self, before_ns: int, until_ns: int) -> None:
        """Take the samples that are due within a step, between its two ends.

        The pose follows a cubic through both ends with their speeds, everything
        else a straight line.
        """
        first, last = self._row, tuple(self._readings().values())
        first_rates, last_rates = self._rates, self._pose_rates()
        self._row, self._rates = last, last_rates
        duration = (until_ns - before_ns) / SECOND
        for tick in range(before_ns // SAMPLE_NS + 1, until_ns // SAMPLE_NS + 1):
            part = (tick * SAMPLE_NS - before_ns) / (until_ns - before_ns)
            row = [a + part * (b - a) for a, b in zip(first, last, strict=True)]
            bend = part * (1.0 - part)
            for k, start, end in zip(self._pose, first_rates, last_rates, strict=True):
                rise = last[k] - first[k]
                start_off, end_off = start * duration - rise, end * duration - rise
                row[k] += bend * ((1.0 - part) * start_off - part * end_off)
            self._rows.append(tuple(row))

    def _pose_rates(self) -> tuple[float, float, float]:
        """Give how fast x, y and heading change now."""
        c, s = math.cos(self.heading), math.sin(self.heading)
        return self.speed * c, self.speed * s, self.turn_rate

    @property
    def tracks(self) -> dict[str, tuple[float, ...]]:
        """Give the samples as columns, to a millionth of their unit."""
        columns = zip(*self._rows, strict=True)
        return {
            name: tuple(round(value, 6) for value in column)
            for name, column in zip(self._names, columns, strict=True)
        }
