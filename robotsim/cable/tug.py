"""Tug: the parts behind the plug, in real time, and for as long as it stays plugged in."""

from __future__ import annotations

from collections.abc import Callable

from ..live.air import LiveRadio
from ..parts import Day, Quirks, seed_day
from ..radio import Airwaves
from ..table import make_table
from ..twin.tug_file import Twin
from ..units import MS, SECOND
from .clock import Clock
from .eyes import Eyes
from .hands import Hands
from .miswired import Fault, MiswiredWorld

__all__ = ["PluggedTug", "World"]

_STEP_NS = 10 * MS
_KEPT = 2000
"""Samples and events that are kept; a tug that is plugged in for days must not fill the memory."""


class World(MiswiredWorld):
    """A tug that forgets what it did long ago."""

    def put_back(self) -> None:
        """Stand where it stood at first."""
        for body in (self.wheels, self._hull):
            body.x, body.y, body.heading = self.table.start

    def forget(self) -> None:
        """Keep the last samples and events alone."""
        del self._rows[:-_KEPT]
        del self.happened[:-_KEPT]


class PluggedTug:
    """Parts, table and radio, brought to the present every 10 ms.

    Args:
        serial: The tug's serial number.
        table: The table's name.
        seed: Seed of all noise and of what varies on the table.
        hold: Waits until the clock shows a time in ns.
        fault: What is wrong with its cables, if anything is.
        twin: What this tug is like, where it is not as its serial number says.
    """

    def __init__(
        self, serial: int, table: str, seed: int, hold: Callable[[int], None],
        fault: Fault | None = None, twin: Twin | None = None,
    ) -> None:  # fmt: skip
        self.serial, self.seed, self.clock = serial, seed, Clock()
        today = Day.of(seed_day(seed), serial)
        self.world = World(
            make_table(table, seed), twin.quirks if twin else Quirks.of(serial), seed, None,
            charge=twin.charge if twin else None, day=today, fault=fault,
        )  # fmt: skip
        self.radio = LiveRadio(Airwaves(), seed, serial, hold, None)
        self.world.radio_draws = self.radio.draws
        self.look = self.world.look(0.0, "none")
        self.eyes, self.hands = Eyes(self.world), Hands(self.world)
        self._ticked_ns = self._forgot_ns = 0

    def tick(self) -> None:
        """Bring everything to the present.

        Raises:
            Restart: The battery could not hold the board's supply.
        """
        now_ns = self.clock.now_ns
        if now_ns < self._ticked_ns + _STEP_NS:
            return
        self._ticked_ns = now_ns
        world = self.world
        if now_ns > world.now_ns:
            world.advance_to(now_ns)
        self.radio.look(max(now_ns, self.radio.agenda.now_ns))
        self.clock.give_up(max(world.now_ns, now_ns))
        self.look = world.look(now_ns / SECOND, "none")
        self.eyes.watch(now_ns)
        if now_ns > self._forgot_ns + SECOND:
            self._forgot_ns = now_ns
            world.forget()
            del self.radio.happened[:-_KEPT]

    def let_go(self) -> None:
        """Take every signal off the pins, as a board does that starts anew."""
        now_ns = max(self.clock.now_ns, self.world.now_ns)
        self.world.let_go(now_ns)
        self.radio.power_off(max(now_ns, self.radio.agenda.now_ns))
