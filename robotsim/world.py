"""World: the tug's parts and the table, as the board's pins find them."""

from __future__ import annotations

import bisect
import math
from typing import Any

from .core import mypyc_attr
from .living import LivingTug
from .units import SECOND
from .wiring import FLOATING, Signal

__all__ = ["TugWorld"]

_BURST_NS = 1_000_000
"""Within this time in ns the same signal on the same pin is not taken anew."""
_GLANCE_NS = 500_000
"""How far ahead of where it last looked a sensor's reading takes the motion as even: 0.5 ms.
At the tug's hardest 15 m/s^2 that is off by less than 2 um."""


@mypyc_attr(allow_interpreted_subclasses=True)
class TugWorld(LivingTug):
    """One tug on one table: it answers the board.

    It is lazy: outputs wait in a list until someone looks, and then tug and
    table are stepped to where an output changes and to the points of a fixed
    grid, and nowhere else.  Who looks in between sees what a twin of the drive
    comes to, which is then thrown away: looking moves nothing.
    """

    # -- what the board asks -------------------------------------------------

    def output(self, pin: int, signal: Signal, at_ns: int) -> None:
        """Put a signal on a pin from a time on; it replaces what was to come later on that pin."""
        if self._roles.get(pin) not in self._by_role:
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
            self.output(self.build.pins[role], FLOATING, time_ns)

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
        role = self._roles.get(pin, "")
        if role == "battery":
            self._drive.pushes(self)
            return self.battery.pin_volts(self._rest_amps + self._drive.amps)
        part = self._by_role.get(role)
        return part.volts(role, self) if part else 0.0

    def level(self, pin: int, time_ns: int) -> int | None:
        """Give the level that a part puts on a pin at a time."""
        self.advance_to(time_ns)
        self.ahead = (time_ns - self.now_ns) / SECOND
        role = self._roles.get(pin, "")
        part = self._by_role.get(role)
        return part.level(role, self) if part else None

    def edge(self, pins: tuple[int, ...], since_ns: int, until_ns: int) -> int | None:
        """Give when the level on one of some pins next changes after a time, None for never."""
        roles = {self._roles.get(pin, "") for pin in pins}
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
        if self._roles.get(pin) != "lamps":
            return None
        self._act_at(time_ns)
        shown = self._lamps.frame(data, timing)
        self._feed_others()
        return shown

    def transfer(
        self, bus: tuple[int, int], address: int, written: bytes, count: int, time_ns: int
    ) -> bytes | None:
        """Speak with a part on the I2C bus at a time."""
        pins = self.build.pins
        if bus != (pins["scl"], pins["sda"]) or address != self._motion.address:
            return None
        if len(written) > 1:  # a setting; what only reads moves nothing
            self._act_at(time_ns)
        else:
            self.advance_to(time_ns)
        self._look_at(time_ns)
        answer = self._motion.transfer(written, count, self)
        self._feed_others()
        return answer

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

