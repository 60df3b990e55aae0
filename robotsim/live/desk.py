"""Desk: `live` starts a tug at real time, and what it gives back steers and ends it."""

from __future__ import annotations

import atexit
import json
import threading
from collections.abc import Mapping
from types import NoneType
from typing import Any

from ..calls import FILES, NAME, TABLE, Value, called_as
from ..errors import KitError
from ..notebook import FLASH, missing, own_serial
from ..radio import Airwaves, BadOrder, log_topic, order_topic, read_order, tug_name
from ..radio.packets import Publish
from ..recording import Event, Recording
from ..table import make_table
from ..table.start import ask_start
from ..trial import MAX_SECONDS
from ..units import SECOND
from .address import read_address
from .air import News
from .bridge import Bridge
from .example import EXAMPLE, EXAMPLE_NAME
from .session import LiveSession, Look, open_session

__all__ = ["OWN_OFFICE", "Live", "live"]

OWN_OFFICE = "own"
"""Stands for the broker inside this notebook's kernel."""
_PATIENCE_S = 10.0
_RUNNING: dict[int, Live] = {}


class Live:
    """A tug at real time.

    Args:
        session: What runs.
        bridge: Its way to the real broker, or None.
        table: The table's name.
    """

    def __init__(self, session: LiveSession, bridge: Bridge | None, table: str) -> None:
        self.session, self.bridge, self._table = session, bridge, table
        self.serial, self.name = session.serial, tug_name(session.serial)
        self._recording: Recording | None = None
        self._fault: BaseException | None = None
        self._thread = threading.Thread(target=self._run, name="live", daemon=True)

    def start(self) -> Live:
        """Let it run."""
        _RUNNING[self.serial] = self
        self._thread.start()
        return self

    def _run(self) -> None:
        session = self.session
        try:
            session.run()
            self._recording = session.recording(self._table, session.limit / SECOND)
        except BaseException as fault:  # told by `stop`, in the reader's own thread
            self._fault = fault
        finally:
            if self.bridge:
                self.bridge.close()
            if _RUNNING.get(self.serial) is self:
                del _RUNNING[self.serial]

    def __repr__(self) -> str:
        """Say which tug, and whether it is running."""
        state = f"running for {self.look.t:.0f} s" if self.running else "stopped"
        return f"{self.name}, live: {state}"

    @property
    def running(self) -> bool:
        """Whether it is running."""
        return self._thread.is_alive()

    @property
    def look(self) -> Look:
        """How the tug stands now."""
        return self.session.look

    @property
    def happened(self) -> list[Event]:
        """What the radio has done until now."""
        return list(self.session.radio.happened)

    @property
    def order_topic(self) -> str:
        """The topic on which the tug takes orders."""
        return order_topic(self.serial)

    @property
    def log_topic(self) -> str:
        """The topic on which it reports."""
        return log_topic(self.serial)

    def order(self, what: Any, *, qos: int = 1) -> None:
        """Give the tug an order, on the same way as everybody.

        Args:
            what: The order: a dict, or its text.
            qos: 0 or 1.

        Raises:
            KitError: It is no order, the tug is not running, or the link is lost.
        """
        payload = (what if isinstance(what, str) else json.dumps(what)).encode()
        try:
            read_order(payload)
        except BadOrder as fault:
            raise KitError(f"This is no order: {fault}.", where=payload.decode()[:80],
                           hint='{"speed": 0.2, "seconds": 1}') from fault  # fmt: skip
        if not self.running:
            raise KitError("The tug is not running any more.", hint="start it again with live().")
        if self.bridge is None:
            message = Publish(self.order_topic, payload, qos)
            self.session.radio.inbox.put(News("message", message))
        elif self.bridge.up:
            self.bridge.order(payload, qos)
        else:
            raise KitError("The link to the broker is lost: the order was not sent.",
                           hint="wait until it is back; it comes by itself.")  # fmt: skip

    def stop(self) -> Recording:
        """Stop the tug and give the recording of everything that it did.

        Raises:
            KitError: It does not end.
        """
        self.session.pace.stop()
        return self.wait(_PATIENCE_S)

    def wait(self, seconds: float | None = None) -> Recording:
        """Wait until its time is over, and give the recording.

        Args:
            seconds: Wait no longer than this.

        Raises:
            KitError: It is still running then.
        """
        self._thread.join(seconds)
        if self._fault:
            raise self._fault
        if self._recording is None:
            raise KitError("The tug is still running.", hint="stop it with .stop().")
        return self._recording

    @property
    def recording(self) -> Recording | None:
        """The recording, once it has stopped."""
        return self._recording


@called_as(
    'live("main.py")', program=NAME._replace(kind=(str, NoneType)), table=TABLE, files=FILES,
    broker=Value((str, NoneType), 'a broker\'s address in quotes, "own" or None'),
)  # fmt: skip
def live(
    program: str | None = None,
    *,
    table: str = "basin",
    broker: str | None = OWN_OFFICE,
    user: str = "",
    password: str = "",
    serial: int | None = None,
    seed: int = 0,
    seconds: float = MAX_SECONDS,
    start: tuple[float, float, float] | None = None,
    engine: str = "cpython",
    files: Mapping[str, str] | None = None,
    pad: bool = True,
) -> Live:
    """Run a tug at real time, and let a real broker bring it orders.

    Simulated time is held back to the clock on the wall; the notebook stays free.  Orders come
    under `harbour/<tug>/order`, from a telephone, a command line or another notebook; what the
    tug reports goes out under `harbour/<tug>/log`.  A message that is no order is refused, the
    reason is reported, and the tug does not move.  Once the link to the broker is known to be
    lost the motors are cut off within 1 s, whatever the program does.

    Args:
        program: The file's name, as in `%%program main.py`; None for an example that obeys.
        table: The table's name.
        broker: `"own"`, one within this notebook; an address such as "192.168.1.5:1883"; or None
            for no broker: then orders come from the pad and from `order` only.
        user: User name at the broker, if it asks for one.
        password: And the password.
        serial: The tug's serial number; None for your own tug.
        seed: Seed of all noise and of what varies on the table.
        seconds: How long at the most, in s; at most 600.
        start: Where the tug stands at first: x, y in m, heading in rad.
        engine: What interprets the program.
        files: Files to use in place of the board's.
        pad: Whether to show the pad, where there is a notebook.

    Returns:
        The running tug: `.order({...})` steers it, `.stop()` ends it and gives the recording.

    Raises:
        KitError: Something given is wrong, or the broker does not answer.
    """
    name, board = _program(program, FLASH if files is None else files)
    if not (isinstance(seconds, (int, float)) and 0 < seconds <= MAX_SECONDS):
        raise KitError(
            f"A live run lasts more than 0 and at most {MAX_SECONDS:g} seconds, not {seconds!r}.",
            hint="leave it out, and stop the run when you have seen enough.",
        )
    floor = make_table(table, seed)
    stands = ask_start(start, floor)
    number = own_serial() if serial is None else serial
    before = _RUNNING.get(number)
    if before:
        before.stop()
    bridge = _bridge(broker, user, password, number)
    session = open_session(
        board, name, floor, number, seed, seconds, stands, engine, Airwaves(), bridge
    )
    tug = Live(session, bridge, table).start()
    if pad:
        _show(tug)
    return tug


def _program(name: str | None, board: Mapping[str, str]) -> tuple[str, Mapping[str, str]]:
    if name is None:
        return EXAMPLE_NAME, {EXAMPLE_NAME: EXAMPLE}
    if name not in board:
        raise missing(name, board)
    return name, dict(board)


def _bridge(broker: str | None, user: str, password: str, serial: int) -> Bridge | None:
    if broker is None:
        return None
    if broker != OWN_OFFICE:
        return Bridge(read_address(broker, user, password), serial)
    from .office import open_office

    return Bridge(open_office().address, serial)


def _show(tug: Live) -> None:
    """Show the pad, if this is a notebook."""
    import sys

    shell = sys.modules["IPython"].get_ipython() if "IPython" in sys.modules else None
    if getattr(shell, "kernel", None) is not None:
        from IPython.display import display

        from .pad import Pad

        display(Pad(tug))  # type: ignore[no-untyped-call]


@atexit.register
def _stop_all() -> None:
    for tug in list(_RUNNING.values()):
        tug.session.pace.stop()
        tug._thread.join(2.0)
