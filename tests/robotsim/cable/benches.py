"""A bench in simulated time, and a person who sees what the simulated tug does."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from robotsim.cable.bench import Sensed, sensed
from robotsim.cable.hands import Hands
from robotsim.cable.miswired import FAULTS
from robotsim.cable.person import Stopped
from robotsim.cable.tug import World
from robotsim.parts import Day, Quirks, seed_day
from robotsim.table import make_table
from robotsim.units import MS, SECOND
from robotsim.wiring import FLOATING, Signal

ADDRESS = 0x68


class SimBench:
    """What `CableBench` asks of a board, asked of the parts themselves: no clock on the wall."""

    def __init__(self, serial: int, fault: str = "", quirks: Quirks | None = None) -> None:
        self.world = World(
            make_table("basin", serial), quirks or Quirks.of(serial), serial, None,
            day=Day.of(seed_day(serial), serial), fault=FAULTS.get(fault),
        )  # fmt: skip
        self.serial = serial
        self.now = 10 * MS
        self.driven: set[int] = set()

    def number(self) -> str:
        return f"{self.serial:012x}"

    def rest(self, seconds: float) -> None:
        self.now += round(seconds * SECOND)
        self.world.advance_to(self.now)

    def put(self, pin: int, signal: Signal) -> None:
        self.world.output(pin, signal, self.now)
        (self.driven.discard if signal == FLOATING else self.driven.add)(pin)

    def lamps(self, pin: int, colours: Sequence[tuple[int, int, int]]) -> None:
        self.world.frame(pin, bytes(b for c in colours for b in c), 1, self.now)
        self.rest(0.01)

    def pulse(self, pins: Sequence[int], duty: float, seconds: float, watched: int,
              against: Sequence[int] = ()) -> float:  # fmt: skip
        for pin in against:
            self.put(pin, Signal(1.0 - duty, 1000))
        for pin in pins:
            self.put(pin, Signal(1.0, 0) if against else Signal(duty, 1000))
        self.rest(0.5 * seconds)
        (seen,) = self.volts([watched])
        self.rest(0.5 * seconds)
        self.off([*pins, *against])
        return seen

    def arm(self, pin: int, pulse_us: float) -> None:
        self.put(pin, Signal(pulse_us * 1e-6 * 50, 50))
        self.rest(0.7)
        self.put(pin, FLOATING)
        self.rest(0.05)

    def volts(self, pins: Sequence[int]) -> list[float]:
        self.rest(0.002)
        board = self.world.converter  # an open pin tells some mV, as on a board
        counts = [board.count(self.world.volts(pin, self.now), 3, pin, self.now) for pin in pins]
        return [board.volts(count, 3) for count in counts]

    def level(self, pin: int) -> int:
        self.rest(0.05)
        level = self.world.level(pin, self.now)
        return 1 if level is None else level  # pulled up

    def sensor(self, sda: int, scl: int) -> Sensed | None:
        def talk(written: bytes, count: int) -> bytes | None:
            return self.world.transfer((scl, sda), ADDRESS, written, count, self.now)

        who = talk(b"\x75", 1)
        if who is None:
            return None
        talk(b"\x6b\x00", 0)
        talk(b"\x1a\x03", 0)
        self.rest(0.12)
        rows = []
        for _ in range(100):
            data = talk(b"\x3b", 14) or b""
            rows.append([int.from_bytes(data[k : k + 2], "big", signed=True)
                         for k in (0, 2, 4, 8, 10, 12)])  # fmt: skip
            self.rest(0.004)
        mean = [sum(column) / len(rows) for column in zip(*rows, strict=True)]
        spread = math.sqrt(sum((row[5] - mean[5]) ** 2 for row in rows) / len(rows))
        return sensed(who[0], mean, spread)

    def networks(self) -> list[str]:
        return ["harbour"]

    def off(self, pins: Sequence[int]) -> None:
        for pin in pins:
            self.put(pin, FLOATING)
        self.rest(0.4)  # until the wheels have run out


class SimPerson:
    """Sees wheels, lamps and arm, and has hands.

    Args:
        world: The tug before them.
        rest: Lets a moment pass; None where the clock on the wall does.
        stops_at: At this key they stop.
    """

    def __init__(self, world: World, rest: Callable[[float], Any] | None = None,
                 stops_at: int = 10**9) -> None:  # fmt: skip
        self.world, self.hands, self.rest = world, Hands(world), rest
        self.keys, self.stops_at = 0, stops_at
        self.ways = (0.0, 0.0)
        self.arm = 0.0
        self.told: list[str] = []

    def tell(self, text: str) -> None:
        self.told.append(text)

    def key(self, text: str) -> None:
        self.keys += 1
        if self.keys > self.stops_at:
            raise Stopped
        for words, covered in (("white", 0), ("port eye alone", 1), ("two port", 2),
                               ("three", 3), ("black under all", 4)):  # fmt: skip
            if "Put " in text and words in text:
                self.hands.paper(covered)
        if "bumper" in text:
            self.hands.press("hold it" in text)
        if self.rest:
            self.rest(0.35)  # until the wheels have run out
        self.hands.home()
        wheels = self.world.wheels
        self.ways, self.arm = (wheels.left_way, wheels.right_way), self.world._arm.angle

    def choose(self, text: str, choices: Sequence[str]) -> str:
        answer = self._answer(text)
        assert answer in choices, (text, answer)
        return answer

    def _answer(self, text: str) -> str:
        wheels, shown = self.world.wheels, self.world.shown
        turned = (wheels.left_way - self.ways[0], wheels.right_way - self.ways[1])
        if text.startswith("One lamp"):
            lit = [colour for colour in shown if any(colour)]
            return "none" if not lit else "red" if lit[0][0] else "green"
        if text.startswith("Which lamp"):
            place = next(k for k, colour in enumerate(shown) if any(colour))
            return {0: "port bow", 4: "deck"}.get(place, "another")
        if text.startswith("Which wheel"):
            side = 0 if abs(turned[0]) > abs(turned[1]) else 1
            if abs(turned[side]) < 0.003:
                return "none"
            return ("left", "right")[side] + (" ahead" if turned[side] > 0 else " back")
        if text.startswith("Did it turn"):
            return "yes" if max(map(abs, turned)) > 0.001 else "no"
        if text.startswith("Did it move"):
            return "yes" if abs(self.world._arm.angle - self.arm) > math.radians(3) else "no"
        raise AssertionError(text)

    def number(self, text: str) -> float | None:
        return round(math.degrees(self.world._arm.angle))
