"""Miswired: a simulated tug with one fault put in, to practise finding it."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from ..live.session import GuardedWorld
from ..parts import Quirks
from ..wiring import FLOATING, Signal

__all__ = ["FAULTS", "Fault", "MiswiredWorld", "pick"]


@dataclass(frozen=True)
class Fault:
    """What is wrong with a tug.

    Attributes:
        leads: Role of a pin to the role of the part that its cable leads to; None for nowhere.
        stuck: Role of a pin to the level that it has whatever happens.
        bus: Whether the motion sensor can be reached.
        upside_down: Whether it lies on its back: y and z point the other way.
        lamps_turned: Whether the chain of lamps begins at its other end.
        horn_us: By how much the arm's horn sits off, in us of pulse.
        charge: How full the cells are; None for as usual.
    """

    leads: Mapping[str, str | None] = field(default_factory=dict)
    stuck: Mapping[str, int] = field(default_factory=dict)
    bus: bool = True
    upside_down: bool = False
    lamps_turned: bool = False
    horn_us: float = 0.0
    charge: float | None = None


def _crossed(*roles: tuple[str, str]) -> Fault:
    """Exchange the cables of some pairs of pins."""
    found: dict[str, str | None] = {}
    for one, other in roles:
        found[one], found[other] = other, one
    return Fault(found)


def _loose(*roles: str) -> Fault:
    return Fault(dict.fromkeys(roles))


FAULTS: dict[str, Fault] = {
    "motors-exchanged": _crossed(("left_ahead", "right_ahead"), ("left_back", "right_back")),
    "left-backwards": _crossed(("left_ahead", "left_back")),
    "right-backwards": _crossed(("right_ahead", "right_back")),
    "left-loose": _loose("left_ahead", "left_back"),
    "right-input-loose": _loose("right_back"),
    "lamps-loose": _loose("lamps"),
    "lamps-turned": Fault(lamps_turned=True),
    "arm-loose": _loose("arm"),
    "horn-off": Fault(horn_us=250.0),
    "eye-loose": _loose("eye_2"),
    "eyes-turned": _crossed(("eye_0", "eye_3"), ("eye_1", "eye_2")),
    "eyes-exchanged": _crossed(("eye_0", "eye_1")),
    "sensor-loose": Fault(bus=False),
    "sensor-upside-down": Fault(upside_down=True),
    "bumper-stuck": Fault(stuck={"bumper": 0}),
    "bumper-loose": _loose("bumper"),
    "battery-unread": _loose("battery"),
    "cells-spent": Fault(charge=0.03),
}
"""Kinds of faults, by name."""
_Y_AND_Z = (0x3D, 0x3F, 0x45, 0x47)
"""Registers of the motion sensor's y and z (MPU-6050 register map, read)."""


def pick(seed: int) -> str:
    """Give one of the kinds, by a number."""
    return random.Random(f"quayside fault {seed}").choice(sorted(FAULTS))


class MiswiredWorld(GuardedWorld):
    """A tug on a table, its cables as a fault has them.

    Args: as `TugWorld`, and the fault.
    """

    def __init__(self, *words: Any, fault: Fault | None = None, **more: Any) -> None:
        self.fault = fault or Fault()
        table, quirks, *rest = words
        pins = quirks.build.pins
        self._leads = {pins[role]: pins[part] if part else None
                       for role, part in self.fault.leads.items()}  # fmt: skip
        self._stuck = {pins[role]: level for role, level in self.fault.stuck.items()}
        if self.fault.charge is not None:
            more["charge"] = self.fault.charge
            rest = rest[:2] + rest[3:] if len(rest) > 2 else rest
        super().__init__(table, _with_horn(quirks, self.fault), *rest, **more)

    def _to(self, pin: int) -> int | None:
        return self._leads.get(pin, pin)

    def output(self, pin: int, signal: Signal, at_ns: int) -> None:
        """Put a signal on a pin, wherever its cable leads."""
        place = self._to(pin)
        if place is not None:
            super().output(place, signal, at_ns)

    def let_go(self, time_ns: int) -> None:
        """Take every signal off the pins."""
        super().let_go(time_ns)
        for pin in self._leads.values():
            if pin is not None:
                super().output(pin, FLOATING, time_ns)

    def volts(self, pin: int, time_ns: int) -> float:
        """Give the voltage on a pin; a loose one floats near 0."""
        place = self._to(pin)
        return 0.0 if place is None else super().volts(place, time_ns)

    def glance(self, pin: int, time_ns: int) -> float | None:
        """Give the voltage on a pin just ahead, where that moves nothing."""
        place = self._to(pin)
        return None if place is None else super().glance(place, time_ns)

    def level(self, pin: int, time_ns: int) -> int | None:
        """Give the level that something puts on a pin."""
        place = self._to(pin)
        level = None if place is None else super().level(place, time_ns)
        return self._stuck.get(pin, level)

    def frame(self, pin: int, data: bytes, timing: int, time_ns: int) -> Any:
        """Send a frame to the chain of lamps, from whichever end it begins."""
        place = self._to(pin)
        if place is None:
            return None
        if self.fault.lamps_turned:
            whole = [data[k : k + 3] for k in range(0, len(data), 3)]
            data = b"".join(reversed(whole))
        return super().frame(place, data, timing, time_ns)

    def transfer(
        self, bus: tuple[int, int], address: int, written: bytes, count: int, time_ns: int
    ) -> bytes | None:
        """Speak with the motion sensor, if it can be reached."""
        scl, sda = map(self._to, bus)
        if not self.fault.bus or scl is None or sda is None:
            return None
        got = super().transfer((scl, sda), address, written, count, time_ns)
        if got and self.fault.upside_down and written:
            got = _turned(got, written[0])
        return got


def _with_horn(quirks: Quirks, fault: Fault) -> Quirks:
    return replace(quirks, arm_trim_us=quirks.arm_trim_us + fault.horn_us)


def _turned(data: bytes, first: int) -> bytes:
    """Turn the y and z of what was read from a register on."""
    found = bytearray(data)
    for register in _Y_AND_Z:
        at = register - first
        if 0 <= at < len(data) - 1:
            value = int.from_bytes(data[at : at + 2], "big", signed=True)
            value = max(-value, -32768) if value != -32768 else 32767
            found[at : at + 2] = value.to_bytes(2, "big", signed=True)
    return bytes(found)
