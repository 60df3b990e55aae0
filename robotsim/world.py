"""World: the tug's parts and the table, as the board's pins find them."""

from __future__ import annotations

import bisect
import math
import random
from typing import Any

from .parts import PARTS, Battery, Drive, Lamps, MotionSensor
from .parts.part import Part
from .parts.quirks import Quirks
from .recording import SAMPLE_NS
from .table import Table
from .units import SECOND
from .wiring import PINS, Signal

__all__ = ["TugWorld"]

_ROLES = {pin: role for role, pin in PINS.items()}
_BUS = (PINS["scl"], PINS["sda"])
_BOARD_AMPS = 0.08
"""What the board itself draws in A (invented; such boards draw 50 to 240 mA with Wi-Fi)."""
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
    """

    def __init__(
        self, table: Table, quirks: Quirks, seed: int, start: tuple[float, float, float] | None
    ) -> None:
        self.table = table
        self.floor = table.floor
        self.now_ns = 0
        self.battery = Battery()
        self.parts: dict[str, Part] = {
            name: kind(quirks, random.Random(f"{seed} {quirks.serial} {name}"))
            for name, kind in PARTS.items()
        }
        self._by_role = {role: part for part in self.parts.values() for role in part.roles}
        self._drive: Drive = self._part(Drive)
        self._lamps: Lamps = self._part(Lamps)
        self._motion: MotionSensor = self._part(MotionSensor)
        others = [part for part in self.parts.values() if part is not self._drive]
        self._living = [part for part in others if type(part).advance is not Part.advance]
        self._others = others
        self._waiting: list[tuple[int, int, Signal]] = []
        self.wheels = self._drive.wheels
        self.wheels.x, self.wheels.y, self.wheels.heading = start or table.start
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
        if _ROLES.get(pin) in self._by_role:
            waiting = [w for w in self._waiting if w[1] != pin or w[0] < at_ns]
            bisect.insort(waiting, (at_ns, pin, signal))
            self._waiting = waiting

    def advance_to(self, time_ns: int) -> None:
        """Bring tug and table to a time, from one change of an output to the next."""
        while self._waiting and self._waiting[0][0] <= time_ns:
            at_ns, pin, signal = self._waiting.pop(0)
            self._step_to(at_ns)
            role = _ROLES[pin]
            self._by_role[role].drive(role, signal)
        self._step_to(time_ns)

    def volts(self, pin: int, time_ns: int) -> float:
        """Give the voltage on a pin at a time; an open pin floats near 0."""
        ahead_ns = time_ns - self.now_ns
        due = self._waiting and self._waiting[0][0] <= time_ns
        if due or not 0 <= ahead_ns <= _GLANCE_NS:
            self.advance_to(time_ns)
        elif ahead_ns:
            self._look(ahead_ns / SECOND)
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
            until = min(time_ns, self.now_ns + 2 * SAMPLE_NS)
            self._step((until - self.now_ns) / SECOND)
            before, self.now_ns = self.now_ns, until
            self._sample(before, until)

    def _step(self, duration: float) -> None:
        self._drive.advance(duration, self)
        self._look()
        for part in self._living:
            part.advance(duration, self)
        amps = _BOARD_AMPS + self._drive.amps
        for part in self._others:
            amps += part.amps
        self.battery.draw(amps, duration)
        self.amps = amps
        self.supply_volts = self.battery.volts(amps)

    # -- recording -----------------------------------------------------------

    def _readings(self) -> dict[str, float]:
        row = {"t": self.now_ns / SECOND}
        for part in self.parts.values():
            row.update(part.readings())
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
