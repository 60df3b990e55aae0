"""Tug: one tug with its parts on a table, at one moment: what they are told, draw and show."""

from __future__ import annotations

import math
import random
from array import array
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from .chance import Noise
from .converter import Converter
from .core import mypyc_attr
from .events import Event
from .parts import IDEAL, PARTS, Battery, Day, Drive, Lamps, MotionSensor, Servo
from .parts.battery import RESISTANCE
from .parts.part import Part
from .parts.quirks import Quirks
from .parts.wheels import HULL_RADIUS, MASS, TURNING_INERTIA, Wheels, grip_limit
from .table import Table
from .table.bodies import Bodies, Hull
from .table.room import Room
from .units import SECOND

__all__ = ["Tug"]

_BOARD_AMPS = 0.08
"""What the board itself draws in A, its radio off (invented)."""
_NO_FRACTION = 1.5 * 2.0**52
"""From here on a number of 53 binary places is a whole one (IEEE 754)."""


def _no_radio(begin_ns: int, end_ns: int) -> tuple[float, float]:
    """Give what no radio draws between two times: the mean and the highest current in A."""
    return 0.0, 0.0


@mypyc_attr(allow_interpreted_subclasses=True)
class Tug:
    """The parts' surroundings: where the tug is and how it moves, its supply, its samples.

    Args:
        table: The table.
        quirks: The tug's quirks.
        seed: Seed of everything random.
        start: Where the tug stands, (x in m, y in m, heading in rad); None for
            the table's own place.
        charge: How full the battery is, 0 to 1; None for as the day has it.
        day: What this run has of its own.
        bodies: The solid things of the table, where another tug is on it already.

    Attributes:
        build: How this one is put together.
        twin_of: Of which real tug it is the twin, "" for none.
        pushed: Whether something on the table pushes the bumper.
        held: Whether a hand does.
    """

    def __init__(
        self, table: Table, quirks: Quirks, seed: int, start: Sequence[float] | None,
        charge: float | None = None, day: Day = IDEAL, bodies: Bodies | None = None,
    ) -> None:  # fmt: skip
        self.table = table
        self.floor: Callable[[float, float], float] = table.floor
        self.even: Callable[[float, float, float], float | None] = table.floor.even
        self.now_ns = 0
        self.build, self._roles = quirks.build, quirks.build.roles
        self.twin_of = quirks.twin_of
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
        self.wheels = self._drive.wheels
        self.wheels.x, self.wheels.y, self.wheels.heading = start or table.start
        wheels = self.wheels
        self._hull = Hull(wheels.x, wheels.y, wheels.heading)
        solids = table.with_float_off(*day.float_off), HULL_RADIUS, MASS, TURNING_INERTIA
        self._bodies = bodies or Bodies(*solids, grip=2 * grip_limit())
        self.happened: list[Event] = []
        self.pushed = self.held = False
        self.source_ohm = RESISTANCE
        self.radio_draws: Callable[[int, int], tuple[float, float]] = _no_radio
        self._radio_amps = self._radio_peak = 0.0
        self._rest_amps = self.idle_volts = 0.0
        self._feed_others()
        self.supply_volts, self.amps = self.idle_volts, self._rest_amps
        self._look(self.wheels)
        self._tellers = [part for part in self.parts.values() if part.tracks]
        self._rows = [self._readings()]

    def _part(self, kind: type[Any]) -> Any:
        return next(part for part in self.parts.values() if isinstance(part, kind))

    # -- where it is ---------------------------------------------------------

    @property
    def pressed(self) -> bool:
        """Whether something pushes the bumper."""
        return self.pushed or self.held

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

    # -- its supply ----------------------------------------------------------

    def _feed_radio(self, time_ns: int) -> None:
        mean, highest = self.radio_draws(self.now_ns, time_ns)
        self._radio_peak = highest - mean
        if mean != self._radio_amps:
            self._radio_amps = mean
            self._feed_others()

    def _feed_others(self) -> None:
        """Work out what all but the drive draw, and what voltage they leave it."""
        amps = _BOARD_AMPS + self._radio_amps
        for part in self._others:
            amps += part.amps
        self._rest_amps, self.idle_volts = amps, self.battery.volts(amps)

    # -- recording -----------------------------------------------------------

    def _note(self, kind: str, *data: Any) -> None:
        self.happened.append(Event(self.now_ns, kind, data))

    def _readings(self) -> tuple[float, ...]:
        told = [self.now_ns / SECOND]
        for part in self._tellers:
            told += part.readings()
        if ball := self._bodies.ball:
            told += ball.x, ball.y
        return (*told, self.supply_volts, self.amps)

    def _names(self) -> Iterator[str]:
        """Go through the names of the tracks, as `_readings` tells them."""
        yield "t"
        for part in self._tellers:
            yield from part.tracks
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
        return dict(zip(self._names(), map(_to_millionths, columns), strict=True))


def _to_millionths(column: Iterable[float]) -> Sequence[float]:
    """Round numbers to a whole number of millionths, those between two to the even one.

    A number that large has no room for a fraction, so adding it rounds as `round` does, but in a
    tenth of the time when compiled.
    """
    return array("d", [(1e6 * value + _NO_FRACTION - _NO_FRACTION) / 1e6 for value in column])
