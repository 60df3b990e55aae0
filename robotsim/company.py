"""Company: two tugs on one table, each with a program, a process and a board of its own.

Each session runs in a thread, and one of them runs at a time: whose own time is behind.  Before the
table lives on to a time, both programs have come to it, so that it knows what both have put on
their pins.  So nothing depends on which of the processes is the faster one.
"""

from __future__ import annotations

import dataclasses
import math
import threading
from collections.abc import Mapping
from typing import Any, NamedTuple

from .board.direct import plugged_in
from .errors import KitError
from .parts.wheels import HULL_RADIUS
from .recording import Recording
from .session import Session
from .table import Pose, Table
from .table.ball import BALL_RADIUS
from .trial import prepare
from .world import TugWorld

__all__ = ["Mate", "place_beside", "run_beside"]

_GAP = 0.06
"""In m, between what stands on the table at first."""


class Mate(NamedTuple):
    """Another tug on the same table.

    Attributes:
        program: The file that it runs.
        serial: Its serial number.
        start: Where it stands at first: x, y in m, heading in rad; None for beside the first.
    """

    program: str
    serial: int
    start: Pose | None = None


class _GivenUp(BaseException):
    """The other session will not go on: this one need not either."""


class _Turns:
    """Whose turn it is: one session runs while the other waits.

    Attributes:
        sure: For each tug up to when all that it does to the table is known, in ns.
    """

    def __init__(self, worlds: tuple[TugWorld, ...]) -> None:
        self.worlds = worlds
        self.sure: list[float] = [0.0 for _ in worlds]
        self._whose, self._given_up = 0, False
        self._change = threading.Condition()

    def bring(self, number: int, time_ns: int) -> None:
        """Let the table live on with one tug, and the other's program come to a time.

        Raises:
            Restart: The tug's own battery has given way.
        """
        other, self.sure[number] = 1 - number, time_ns
        while True:
            self.worlds[number].live_until(int(min(*self.sure, time_ns)))
            fainted_ns = self.worlds[other].fainted_ns
            if fainted_ns is not None:
                self.sure[other] = min(self.sure[other], fainted_ns)
            if self.sure[other] >= time_ns:
                return
            self._pass_on(other)
            self.wait_for(number)

    def wait_for(self, number: int) -> None:
        """Wait for one's turn.

        Raises:
            _GivenUp: It will not come.
        """
        with self._change:
            self._change.wait_for(lambda: self._whose == number or self._given_up)
            if self._given_up:
                raise _GivenUp

    def leave(self, number: int) -> None:
        """Go: nothing more comes of this tug."""
        self.sure[number] = math.inf
        self._pass_on(1 - number)

    def give_up(self) -> None:
        """Let whoever waits, or comes to wait, end."""
        with self._change:
            self._given_up = True
            self._change.notify_all()

    def _pass_on(self, number: int) -> None:
        with self._change:
            self._whose = number
            self._change.notify_all()


def run_beside(
    files: Mapping[str, str], *, beside: Mate, program: str = "main.py", serial: int = 0,
    table: str = "basin", seed: int = 0, seconds: float = 5.0, start: Pose | None = None,
    **more: Any,
) -> tuple[Recording, Recording]:  # fmt: skip
    """Run two programs on the boards of two tugs on one table, with one radio.

    Args:
        files: The files on both boards, name to text.
        beside: The second tug.
        program: Of the first, as for `run_trial`; and so are the next five.
        serial: Its serial number.
        table: Name of the table.
        seed: Seed of all noise.
        seconds: Simulated time in s.
        start: Where the first tug stands at first.
        more: What `run_trial` takes besides; it goes for both.

    Returns:
        What the first one did, and the second; the same every time.

    Raises:
        KitError: Bad arguments, or the two have one number, or no room; or this is a page.
    """
    if plugged_in():
        raise KitError(
            "Two tugs at once cannot run in a page: each needs a thread, and it has only one.",
            hint="run one after the other, or do this on a computer on which the kit is installed.",
        )
    if beside.serial == serial:
        raise KitError(
            f"Two tugs cannot both have the number {serial}: the radio would take them for one.",
            hint=f"give the second one another number, such as {12 if serial != 12 else 7}.",
        )
    common = {"table": table, "seed": seed, "seconds": seconds, **more}
    one = prepare(files, program=program, serial=serial, start=start, **common)
    laid = one.world.table
    other = prepare(
        files, program=beside.program, serial=beside.serial, beside=one,
        start=beside.start or place_beside(laid, start or laid.start), **common,
    )  # fmt: skip
    if math.dist(*((tug.x, tug.y) for tug in other.world.crew)) < 2 * HULL_RADIUS:
        raise KitError(
            "The two tugs stand in each other's place.",
            hint=f"let their middles be {2 * HULL_RADIUS:.3f} m apart or more.",
        )
    _run_both(one, other)
    made, others = (each.recording(table, float(seconds)) for each in (one, other))
    return (
        dataclasses.replace(made, beside=others.serial),
        dataclasses.replace(others, beside=made.serial),
    )


def _run_both(*sessions: Session) -> None:
    """Run two sessions to their end, in turns; what one cannot do ends both."""
    turns = _Turns(tuple(session.world for session in sessions))
    faults: list[BaseException] = []
    for number, session in enumerate(sessions):

        def meanwhile(time_ns: int, number: int = number) -> None:
            turns.bring(number, time_ns)

        session.world.meanwhile = session.radio.supply = meanwhile

    def live(number: int) -> None:
        try:
            turns.wait_for(number)
            sessions[number].run()
            turns.leave(number)
        except BaseException as fault:  # of a thread: it is raised again below
            faults.append(fault)
            turns.give_up()

    second = threading.Thread(target=live, args=(1,), name="second tug", daemon=True)
    second.start()
    try:
        live(0)
    finally:
        if faults:
            turns.give_up()
        second.join()
    for fault in faults:
        if not isinstance(fault, _GivenUp):
            raise fault


def place_beside(table: Table, start: Pose) -> Pose:
    """Give where a second tug stands at first: to port of the first, or where else there is room.

    Raises:
        KitError: There is no room around the first one.
    """
    x, y, heading = start
    apart = 2 * HULL_RADIUS + _GAP
    for side in (90.0, -90.0, 180.0, 0.0, 135.0, -135.0):
        way = heading + math.radians(side)
        place = x + apart * math.cos(way), y + apart * math.sin(way)
        if _has_room(table, place):
            return *place, heading
    raise KitError(
        f"There is no room beside the first tug on the table {table.name}.",
        hint="say where the second one stands: x and y in m, and its heading in rad.",
    )


def _has_room(table: Table, place: tuple[float, float]) -> bool:
    x, y = place
    edge = HULL_RADIUS + 0.02
    inside = edge < x < table.width - edge and edge < y < table.height - edge
    float_ = table.float_start
    return inside and (
        float_ is None or math.dist(place, float_) > HULL_RADIUS + BALL_RADIUS + _GAP
    )
