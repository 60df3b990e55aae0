"""Living: the tug's parts on a table, from step to step."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from .board.faults import Restart
from .core import mypyc_attr
from .parts import IDEAL, Day
from .parts.battery import BROWN_OUT_VOLTS, RESISTANCE
from .parts.quirks import Quirks
from .parts.wheels import Wheels
from .recording import SAMPLE_NS
from .table import Table
from .tug import Tug
from .units import SECOND
from .wiring import Signal

__all__ = ["STEP_NS", "TOUCH_NS", "LivingTug"]

STEP_NS, TOUCH_NS = SAMPLE_NS, 1_000_000
"""Steps end at whole multiples of these times in ns, and where an output changes: of the second
while something may touch, else of the first."""
_BLOWS = 8
"""Most blows in a step that are waited for; the solver of solid things sees to any others."""
_SAME = 1e-9
"""Change in m, m/s and rad over a step up to which a tug on a wall has come to rest there."""
_SAME_VOLTS = 1e-3
"""Change of its supply in V up to which a tug on a wall goes on as it does."""
_BUMPER_REACH = math.radians(50.0)
"""How far to each side of the bow the bumper feels a push (invented)."""
_PRESSES = ("wall", "float", "tug")
"""What the bumper feels."""


@mypyc_attr(allow_interpreted_subclasses=True)
class LivingTug(Tug):
    """A tug that lives on from step to step, with whoever else is on its table.

    Args: as `Tug`, and
        beside: Another tug that is on the table already; the two live on together from now.

    Attributes:
        build: How this one is put together.
        crew: The tugs on the table, this one among them; all are at the same time.
        meanwhile: Lets the others' programs come to a time as well; None for who is alone.
    """

    def __init__(
        self, table: Table, quirks: Quirks, seed: int, start: Sequence[float] | None,
        charge: float | None = None, day: Day = IDEAL, beside: LivingTug | None = None,
    ) -> None:  # fmt: skip
        bodies = beside._bodies if beside else None
        super().__init__(table, quirks, seed, start, charge, day, bodies)
        self._waiting: list[tuple[int, int, Signal]] = []
        self._put: dict[int, tuple[int, Signal]] = {}
        self.crew: tuple[LivingTug, ...] = (self,)
        self._hulls = [self._hull]
        if beside:
            self.crew = beside.crew = (beside, self)
            self._hulls = beside._hulls = [beside._hull, self._hull]
            beside._busy = None
        self.meanwhile: Callable[[int], None] | None = None
        self.fainted_ns: int | None = None
        self._docked = self._bodies.docked
        self._busy: bool | None = None
        self._leans, self._leant_volts = False, 0.0
        self._view: tuple[int, Wheels] | None = None

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
            for one in self.crew:
                if one.fainted_ns is not None:
                    return
            end = self._step_end()
            first = min(self.crew, key=_next_change) if len(self.crew) > 1 else self
            if first._waiting and (due := first._waiting[0][0]) <= end and due < time_ns:
                self._step_to(due)
                while first._waiting and first._waiting[0][0] <= due:
                    _, pin, signal = first._waiting.pop(0)
                    first._put_on(pin, signal)
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

    def _is_busy(self) -> bool:
        """Tell whether anything may touch in the step that begins now."""
        if self._busy is None:
            self._busy = self._bodies.busy(*self._hulls)
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
                one._leans = one.pushed = False
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
        if self._leans and abs(self.idle_volts - self._leant_volts) > _SAME_VOLTS:
            self._leans = drive.rests  # what is driven may start now, or spin otherwise

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
        crew, hulls, left = self.crew, self._hulls, duration
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
        if len(crew) == 1 and (self._rests() if self._bodies.ball else not self._drive.pulsed):
            after = _stand(self.wheels)
            self._leans = all(abs(b - a) < _SAME for a, b in zip(before, after, strict=True))
            self._leant_volts = self.idle_volts
        for number, one in enumerate(crew):
            one.pushed = any(
                touch.what in _PRESSES and abs(touch.bearing) < _BUMPER_REACH
                and touch.hull == number for touch in self._bodies.contacts
            )  # fmt: skip

    def _rests(self) -> bool:
        """Tell whether drive, arm and float lie still, and will until an output changes."""
        return self._drive.rests and not self._arm.moving and self._bodies.float_still

    def _slide(self, duration: float, gone: float) -> None:
        """Live on for a part of a short step, so many s of which are gone."""
        crew = self.crew
        for one in crew:
            one._drive.slide(duration, one, gone)
            one._hull.drive(one.wheels.speed, one.wheels.turn_rate)
        for touch in self._bodies.step(duration, *self._hulls):
            told = crew if touch.what == "float-wall" else (crew[touch.hull],)
            for one in told:
                one._note("touch", touch.what, round(touch.impulse, 9))
        for one in crew:
            wheels, hull = one.wheels, one._hull
            wheels.x, wheels.y, wheels.heading = hull.x, hull.y, hull.heading
            wheels.pushed(0.0 if self._bodies.struck else duration, hull.speed, hull.turn_rate)


def _next_change(world: LivingTug) -> float:
    """Give when an output of a tug changes next, in ns; never is infinity."""
    return world._waiting[0][0] if world._waiting else math.inf


def _stand(wheels: Wheels) -> tuple[float, ...]:
    """Give how a tug stands and moves: m/s, m/s, m, m, rad."""
    return wheels.left, wheels.right, wheels.x, wheels.y, wheels.heading
