"""Living: the tug's parts on a table, from step to step."""

from __future__ import annotations

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
from .wiring import Signal

__all__ = ["STEP_NS", "TOUCH_NS", "LivingTug"]

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
_PRESSES = ("wall", "float", "tug")
"""What the bumper feels."""


def _no_radio(begin_ns: int, end_ns: int) -> tuple[float, float]:
    """Give what no radio draws between two times: the mean and the highest current in A."""
    return 0.0, 0.0


class LivingTug:
    """The parts' surroundings: one tug on its table, with whoever else is there.

    Args:
        table: The table.
        quirks: The tug's quirks.
        seed: Seed of everything random.
        start: Where the tug stands, (x in m, y in m, heading in rad); None for
            the table's own place.
        charge: How full the battery is, 0 to 1; None for as the day has it.
        day: What this run has of its own.
        beside: Another tug that is on the table already; the two live on together from now.

    Attributes:
        build: How this one is put together.
        crew: The tugs on the table, this one among them; all are at the same time.
        meanwhile: Lets the others' programs come to a time as well; None for who is alone.
    """

    def __init__(
        self,
        table: Table,
        quirks: Quirks,
        seed: int,
        start: tuple[float, float, float] | None,
        charge: float | None = None,
        day: Day = IDEAL,
        beside: LivingTug | None = None,
    ) -> None:
        self.table = table
        self.floor: Callable[[float, float], float] = table.floor
        self.even: Callable[[float, float, float], float | None] = table.floor.even
        self.now_ns = 0
        self.build, self._roles = quirks.build, quirks.build.roles
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
        own = Bodies(*solids, grip=2 * grip_limit())
        self._bodies: Bodies = beside._bodies if beside else own
        self.crew: tuple[LivingTug, ...] = (self,)
        if beside:
            self.crew = beside.crew = (beside, self)
            beside._busy = None
        self.meanwhile: Callable[[int], None] | None = None
        self.fainted_ns: int | None = None
        self._docked = self._bodies.docked
        self.happened: list[Event] = []
        self.pressed = False
        self.source_ohm = RESISTANCE
        self.radio_draws: Callable[[int, int], tuple[float, float]] = _no_radio
        self._radio_amps = self._radio_peak = 0.0
        self._rest_amps = self.idle_volts = 0.0
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

    # -- living on -----------------------------------------------------------

    def advance_to(self, time_ns: int) -> None:
        """Take all the steps that end by a time, and the outputs that change before it.

        Raises:
            Restart: The battery could not hold the board's supply on the way.
        """
        if self.meanwhile:
            self.meanwhile(time_ns)
        self.live_until(time_ns)

    def live_until(self, time_ns: int) -> None:
        """Do so with all who are on the table, whose outputs up to then are known.

        Raises:
            Restart: As above.  Where another one's battery gives way, this ends there.
        """
        while True:
            self._ask_battery()
            if any(one.fainted_ns is not None for one in self.crew):
                return
            end = self._step_end()
            first = min(self.crew, key=_next_change) if len(self.crew) > 1 else self
            if first._waiting and (due := first._waiting[0][0]) <= end and due < time_ns:
                self._step_to(due)
                while first._waiting and first._waiting[0][0] <= due:
                    first._put_on(*first._waiting.pop(0)[1:])
            elif end <= time_ns:
                self._step_to(end)
            else:
                return

    def _ask_battery(self) -> None:
        """Let the board start anew, if its supply has given way.

        Raises:
            Restart: It has.
        """
        if self.fainted_ns is not None:
            at_ns, self.fainted_ns = self.fainted_ns, None
            raise Restart(at_ns, "brown-out")

    def _put_on(self, pin: int, signal: Signal) -> None:
        role = self._roles[pin]
        part = self._by_role[role]
        part.drive(role, signal)
        self._view, self._leans = None, False
        if part is not self._drive:
            self._feed_others()

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
            self._busy = self._bodies.busy(*(one._hull for one in self.crew))
        return self._busy

    def _step_end(self) -> int:
        """Give where the step that begins now ends, unless an output changes before."""
        grid = TOUCH_NS if self._is_busy() and not self._leans else STEP_NS
        return (self.now_ns // grid + 1) * grid

    def _step_to(self, time_ns: int) -> None:
        """Take one step, with all who are on the table."""
        if time_ns <= self.now_ns:
            return
        for one in self.crew:
            one._feed_radio(time_ns)
        self._step((time_ns - self.now_ns) / SECOND, self._is_busy())
        for one in self.crew:
            one._arrive(time_ns)
        self._ask_battery()

    def _feed_radio(self, time_ns: int) -> None:
        mean, highest = self.radio_draws(self.now_ns, time_ns)
        self._radio_peak = highest - mean
        if mean != self._radio_amps:
            self._radio_amps = mean
            self._feed_others()

    def _arrive(self, time_ns: int) -> None:
        """End a step at a time."""
        self.now_ns = time_ns
        self._busy = self._view = None
        if time_ns % SAMPLE_NS == 0:
            self._sample()
        if self._drive.lowest - RESISTANCE * self._radio_peak < BROWN_OUT_VOLTS:
            self.fainted_ns = time_ns

    def _step(self, duration: float, touching: bool) -> None:
        if touching and self._leans:
            self._drive.stand(duration)
        elif touching:
            self._touch(duration)
        else:
            for one in self.crew:
                one._leans = one.pressed = False
                one._drive.advance(duration, one)
            self._bodies.drift(duration)
        for one in self.crew:
            one._live_on(duration, touching)

    def _live_on(self, duration: float, touching: bool) -> None:
        """Let everything but the wheels take a step."""
        drive = self._drive
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
        """Take a short step in which hulls may push and be pushed: up to a blow, and on."""
        crew, hulls, left = self.crew, [one._hull for one in self.crew], duration
        before = _stand(self.wheels)
        for _ in range(_BLOWS):
            free = self._bodies.until_blow(left, *hulls)
            self._slide(free, duration - left)
            left -= free
            if not left:
                break
            self._bodies.strike(*hulls)
            for one in crew:
                one.wheels.pushed(0.0, one._hull.speed, one._hull.turn_rate)
        else:
            self._slide(left, duration - left)
        if self._bodies.ball is None and not self._drive.pulsed and len(crew) == 1:
            after = _stand(self.wheels)
            self._leans = all(abs(b - a) < _SAME for a, b in zip(before, after, strict=True))
        for number, one in enumerate(crew):
            one.pressed = any(
                touch.what in _PRESSES and abs(touch.bearing) < _BUMPER_REACH
                and touch.hull == number for touch in self._bodies.contacts
            )  # fmt: skip

    def _slide(self, duration: float, gone: float) -> None:
        """Live on for a part of a short step, so many s of which are gone."""
        crew = self.crew
        for one in crew:
            one._drive.slide(duration, one, gone)
            one._hull.drive(one.wheels.speed, one.wheels.turn_rate)
        for touch in self._bodies.step(duration, *(one._hull for one in crew)):
            told = crew if touch.what == "float-wall" else (crew[touch.hull],)
            for one in told:
                one._note("touch", touch.what, round(touch.impulse, 9))
        for one in crew:
            wheels, hull = one.wheels, one._hull
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


def _next_change(world: LivingTug) -> float:
    """Give when an output of a tug changes next, in ns; never is infinity."""
    return world._waiting[0][0] if world._waiting else math.inf


def _stand(wheels: Wheels) -> tuple[float, ...]:
    """Give how a tug stands and moves: m/s, m/s, m, m, rad."""
    return wheels.left, wheels.right, wheels.x, wheels.y, wheels.heading
