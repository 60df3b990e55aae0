"""World: the tug's parts and the table, as the board's pins find them."""

from __future__ import annotations

import bisect
import math
import random
from array import array
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from .board.faults import Restart
from .chance import Noise
from .converter import Converter
from .parts import IDEAL, PARTS, Battery, Day, Drive, Lamps, MotionSensor, Servo
from .parts.battery import BROWN_OUT_VOLTS, RESISTANCE
from .parts.part import Part
from .parts.quirks import Quirks
from .parts.wheels import HULL_RADIUS, MASS, TURNING_INERTIA, Wheels, grip_limit
from .recording import SAMPLE_NS, Event
from .table import Table
from .table.bodies import Bodies, Hull
from .table.room import Room
from .units import SECOND
from .wiring import FLOATING, PINS, Signal

__all__ = ["TugWorld"]

_ROLES = {pin: role for role, pin in PINS.items()}
_BUS = (PINS["scl"], PINS["sda"])
_BURST_NS = 1_000_000
"""Within this time in ns the same signal on the same pin is not taken anew."""
_BOARD_AMPS = 0.08
"""What the board itself draws in A, its radio off (invented)."""
STEP_NS, TOUCH_NS = SAMPLE_NS, 1_000_000
"""Steps end at whole multiples of these times in ns, and where an output changes: of the second
while something may touch, else of the first."""
_BLOWS = 8
"""Most blows in a step that are waited for; the solver of solid things sees to any others."""
_SAME = 1e-9
"""Change in m, m/s and rad over a step up to which a tug on a wall has come to rest there."""
_BUMPER_REACH = math.radians(50.0)
"""How far to each side of the bow the bumper feels a push (invented)."""
_GLANCE_NS = 500_000
"""How far ahead of where it last looked a sensor's reading takes the motion as even: 0.5 ms.
At the tug's hardest 15 m/s^2 that is off by less than 2 um."""


def _no_radio(begin_ns: int, end_ns: int) -> tuple[float, float]:
    """Give what no radio draws between two times: the mean and the highest current in A."""
    return 0.0, 0.0


class TugWorld:
    """One tug on one table: it answers the board, and it is the parts' surroundings.

    It is lazy: outputs wait in a list until someone looks, and then tug and
    table are stepped to where an output changes and to the points of a fixed
    grid, and nowhere else.  Who looks in between sees what a twin of the drive
    comes to, which is then thrown away: looking moves nothing.

    Args:
        table: The table.
        quirks: The tug's quirks.
        seed: Seed of everything random.
        start: Where the tug stands, (x in m, y in m, heading in rad); None for
            the table's own place.
        charge: How full the battery is, 0 to 1; None for as the day has it.
        day: What this run has of its own.
    """

    def __init__(
        self,
        table: Table,
        quirks: Quirks,
        seed: int,
        start: tuple[float, float, float] | None,
        charge: float | None = None,
        day: Day = IDEAL,
    ) -> None:
        self.table = table
        self.floor, self.even = table.floor, table.floor.even
        self.now_ns = 0
        self.day, self.charge = day, day.charge if charge is None else charge
        self.battery = Battery(self.charge)
        luck = day.luck(seed)
        self.parts: dict[str, Part] = {
            name: kind(quirks, random.Random(f"{luck} {quirks.serial} {name}"))
            for name, kind in PARTS.items()
        }
        for part in self.parts.values():
            part.meet(day)
        self._by_role = {role: part for part in self.parts.values() for role in part.roles}
        self._drive: Drive = self._part(Drive)
        noise = Noise(random.Random(f"{luck} {quirks.serial} converter"))
        self.converter = Converter(quirks.adc_reference, quirks.adc_off, noise)
        self._room = Room(random.Random(f"{luck} room"), (0.5 * table.width, 0.5 * table.height))
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
        solids = table.with_float_off(*day.float_off), HULL_RADIUS, MASS, TURNING_INERTIA
        self._bodies = Bodies(*solids, grip=2 * grip_limit())
        self._docked = self._bodies.docked
        self.happened: list[Event] = []
        self.pressed = False
        self.source_ohm = RESISTANCE
        self.radio_draws: Callable[[int, int], tuple[float, float]] = _no_radio
        self._radio_amps = 0.0
        self._feed_others()
        self.supply_volts, self.amps = self.idle_volts, self._rest_amps
        self._busy: bool | None = None
        self._leans = False
        self._view: tuple[int, Wheels] | None = None
        self._look(self.wheels)
        self._tellers = [
            part for part in self.parts.values() if type(part).readings is not Part.readings
        ]
        self._rows = [self._readings()]

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
        """Take all the steps that end by a time, and the outputs that change before it.

        Raises:
            Restart: The battery could not hold the board's supply on the way.
        """
        waiting = self._waiting
        while True:
            end = self._step_end()
            if waiting and (due := waiting[0][0]) <= end and due < time_ns:
                self._step_to(due)
                while waiting and waiting[0][0] <= due:
                    self._put_on(*waiting.pop(0)[1:])
            elif end <= time_ns:
                self._step_to(end)
            else:
                return

    def _put_on(self, pin: int, signal: Signal) -> None:
        role = _ROLES[pin]
        part = self._by_role[role]
        part.drive(role, signal)
        self._view, self._leans = None, False
        if part is not self._drive:
            self._feed_others()

    def volts(self, pin: int, time_ns: int) -> float:
        """Give the voltage on a pin at a time; an open pin floats near 0."""
        self.advance_to(time_ns)
        self._look_at(time_ns)
        return self._volts(pin)

    def glance(self, pin: int, time_ns: int) -> float | None:
        """Give the voltage on a pin at a time just ahead; None if that takes a closer look."""
        seen_ns = self._view[0] if self._view else self.now_ns
        if self._waiting and self._waiting[0][0] < time_ns:
            return None
        if not 0 <= time_ns - seen_ns <= _GLANCE_NS:
            return None
        self._look_at(time_ns)
        return self._volts(pin)

    def _volts(self, pin: int) -> float:
        role = _ROLES.get(pin, "")
        if role == "battery":
            self._drive.pushes(self)
            return self.battery.pin_volts(self._rest_amps + self._drive.amps)
        part = self._by_role.get(role)
        return part.volts(role, self) if part else 0.0

    def level(self, pin: int, time_ns: int) -> int | None:
        """Give the level that a part puts on a pin at a time."""
        self.advance_to(time_ns)
        self.ahead = (time_ns - self.now_ns) / SECOND
        role = _ROLES.get(pin, "")
        part = self._by_role.get(role)
        return part.level(role, self) if part else None

    def edge(self, pins: tuple[int, ...], since_ns: int, until_ns: int) -> int | None:
        """Give when the level on one of some pins next changes after a time, None for never."""
        roles = {_ROLES.get(pin, "") for pin in pins}
        parts = [self._by_role[role] for role in roles if role in self._by_role]
        while since_ns < until_ns:
            self.ahead = (since_ns - self.now_ns) / SECOND
            found = [ahead for part in parts if (ahead := part.next_edge(self)) is not None]
            # At least a nanosecond on, or rounding could find the same change again.
            edge = since_ns + max(math.ceil(min(found) * SECOND), 1) if found else until_ns + 1
            certain = self._step_end()
            if self._waiting:
                certain = max(min(certain, self._waiting[0][0]), self.now_ns)
            if edge <= min(certain, until_ns):
                return edge
            if certain >= until_ns:
                break
            self.advance_to(certain + 1)
        return None

    def frame(self, pin: int, data: bytes, timing: int, time_ns: int) -> Any:
        """Send a frame to the chain of lamps at a time."""
        if _ROLES.get(pin) != "lamps":
            return None
        self._act_at(time_ns)
        shown = self._lamps.frame(data, timing)
        self._feed_others()
        return shown

    def transfer(
        self, bus: tuple[int, int], address: int, written: bytes, count: int, time_ns: int
    ) -> bytes | None:
        """Speak with a part on the I2C bus at a time."""
        if bus != _BUS or address != self._motion.address:
            return None
        if len(written) > 1:  # a setting; what only reads moves nothing
            self._act_at(time_ns)
        else:
            self.advance_to(time_ns)
        self._look_at(time_ns)
        answer = self._motion.transfer(written, count, self)
        self._feed_others()
        return answer

    # -- living on -----------------------------------------------------------

    def _act_at(self, time_ns: int) -> None:
        """Come to a time at which the program changes something that is no pin."""
        self.advance_to(time_ns)
        self._step_to(time_ns)
        self._view = None

    def _look_at(self, time_ns: int) -> None:
        """Note where the tug is at a time, at most a step ahead."""
        if self._view is None or time_ns < self._view[0]:
            self._view = self.now_ns, self.wheels
        seen_ns, wheels = self._view
        if time_ns - seen_ns > _GLANCE_NS and not self._is_busy():
            wheels = self._drive.ahead((time_ns - self.now_ns) / SECOND, self)
            seen_ns, _ = self._view = time_ns, wheels
        self._look(wheels, (time_ns - seen_ns) / SECOND)
        self.ahead = (time_ns - self.now_ns) / SECOND

    def _look(self, wheels: Wheels, ahead: float = 0.0) -> None:
        """Note where the tug is, or will be after a moment of even motion."""
        self.speed, self.turn_rate = wheels.speed, wheels.turn_rate
        self.acceleration = wheels.acceleration
        self.x, self.y, self.heading = wheels.x, wheels.y, wheels.heading
        self.ahead = 0.0
        if ahead:
            self.x += wheels.speed * ahead * math.cos(wheels.heading)
            self.y += wheels.speed * ahead * math.sin(wheels.heading)
            self.heading += wheels.turn_rate * ahead

    def lit(self, x: float, y: float) -> float:
        """Give the room's light at a place, at the moment that is looked at; 1 is its mean."""
        return self._room.light(x, y, self.now_ns / SECOND + self.ahead)

    def _is_busy(self) -> bool:
        """Tell whether anything may touch in the step that begins now."""
        if self._busy is None:
            self._busy = self._bodies.busy(self._hull)
        return self._busy

    def _step_end(self) -> int:
        """Give where the step that begins now ends, unless an output changes before."""
        grid = TOUCH_NS if self._is_busy() and not self._leans else STEP_NS
        return (self.now_ns // grid + 1) * grid

    def _step_to(self, time_ns: int) -> None:
        """Take one step."""
        if time_ns <= self.now_ns:
            return
        mean, highest = self.radio_draws(self.now_ns, time_ns)
        if mean != self._radio_amps:
            self._radio_amps = mean
            self._feed_others()
        self._step((time_ns - self.now_ns) / SECOND, self._is_busy())
        self.now_ns = time_ns
        self._busy = self._view = None
        if time_ns % SAMPLE_NS == 0:
            self._sample()
        if self._drive.lowest - RESISTANCE * (highest - mean) < BROWN_OUT_VOLTS:
            raise Restart(time_ns, "brown-out")

    def _step(self, duration: float, touching: bool) -> None:
        drive = self._drive
        if touching and self._leans:
            drive.stand(duration)
        elif touching:
            self._touch(duration)
        else:
            self._leans = False
            drive.advance(duration, self)
            self._bodies.drift(duration)
            self.pressed = False
        self.supply_volts = drive.terminals
        self._look(self.wheels)
        for part in self._living:
            part.advance(duration, self)
        self._follow(touching)
        if self._bodies.docked != self._docked:
            self._docked = not self._docked
            self._note("dock", "in" if self._docked else "out")
        self.battery.draw(self._rest_amps + drive.drawn, duration)
        self._feed_others()

    def _feed_others(self) -> None:
        """Work out what all but the drive draw, and what voltage they leave it."""
        amps = _BOARD_AMPS + self._radio_amps
        for part in self._others:
            amps += part.amps
        self._rest_amps, self.idle_volts = amps, self.battery.volts(amps)

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
        """Take a short step in which the hull may push and be pushed: up to a blow, and on."""
        wheels, hull, left = self.wheels, self._hull, duration
        before = wheels.left, wheels.right, wheels.x, wheels.y, wheels.heading
        for _ in range(_BLOWS):
            free = self._bodies.until_blow(hull, left)
            self._slide(free, duration - left)
            left -= free
            if not left:
                break
            self._bodies.strike(hull)
            wheels.pushed(0.0, hull.speed, hull.turn_rate)
        else:
            self._slide(left, duration - left)
        if self._bodies.ball is None and not self._drive.pulsed:
            after = wheels.left, wheels.right, wheels.x, wheels.y, wheels.heading
            self._leans = all(abs(b - a) < _SAME for a, b in zip(before, after, strict=True))
        self.pressed = any(
            touch.what in ("wall", "float") and abs(touch.bearing) < _BUMPER_REACH
            for touch in self._bodies.contacts
        )

    def _slide(self, duration: float, gone: float) -> None:
        """Live on for a part of a short step, so many s of which are gone."""
        wheels, hull = self.wheels, self._hull
        self._drive.slide(duration, self, gone)
        hull.drive(wheels.speed, wheels.turn_rate)
        for touch in self._bodies.step(duration, hull):
            self._note("touch", touch.what, round(touch.impulse, 9))
        wheels.x, wheels.y, wheels.heading = hull.x, hull.y, hull.heading
        wheels.pushed(0.0 if self._bodies.struck else duration, hull.speed, hull.turn_rate)

    def _note(self, kind: str, *data: Any) -> None:
        self.happened.append(Event(self.now_ns, kind, data))

    # -- recording -----------------------------------------------------------

    def _readings(self) -> tuple[float, ...]:
        told = [self.now_ns / SECOND]
        for part in self._tellers:
            told += part.readings().values()
        if ball := self._bodies.ball:
            told += ball.x, ball.y
        return (*told, self.supply_volts, self.amps)

    def _names(self) -> Iterator[str]:
        """Go through the names of the tracks, as `_readings` tells them."""
        yield "t"
        for part in self._tellers:
            yield from part.readings()
        if self._bodies.ball:
            yield from ("float_x", "float_y")
        yield from ("volts", "amps")

    def _sample(self) -> None:
        """Put down how all stands at a point of the samples' grid."""
        self._drive.pushes(self)
        self.amps = self._rest_amps + self._drive.amps
        self.supply_volts = max(self.idle_volts - RESISTANCE * self._drive.amps, 0.0)
        self._rows.append(self._readings())

    @property
    def tracks(self) -> dict[str, Sequence[float]]:
        """Give the samples as columns, to a millionth of their unit."""
        columns = zip(*self._rows, strict=True)
        return {
            name: array("d", (round(value, 6) for value in column))
            for name, column in zip(self._names(), columns, strict=True)
        }
