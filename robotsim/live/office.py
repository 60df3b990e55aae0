"""Office: a broker inside this process, started by one call.

It always asks for a password.  On a computer that several people share the loopback is everybody's,
and whoever may publish may drive a tug.
"""

from __future__ import annotations

import asyncio
import atexit
import contextlib
import os
import socket
import threading
from collections.abc import Iterable

from ..errors import KitError
from ..radio import PORT
from .access import OFFICE, Access, Seat, make_password
from .address import LOOPBACK, Address
from .house import House

__all__ = ["Office", "open_office"]

_PATIENCE_S = 10.0
_TYPED = 8
"""Letters of a password that somebody types from the screen: 40 bits, for an hour."""
_OPEN: list[Office] = []


class Office:
    """A broker that runs in a thread of its own.

    Args:
        address: Where it listens, with the office's own user name and password.
        access: Who may join, and what each may do.

    Raises:
        KitError: The port is taken.
    """

    def __init__(self, address: Address, access: Access) -> None:
        self.address, self.access = address, access
        self._loop = asyncio.new_event_loop()
        self._house = House(access, self._loop)
        self._fault: BaseException | None = None
        self._ready = threading.Event()
        self._thread = threading.Thread(target=self._serve, name="office", daemon=True)
        self._thread.start()
        if not self._ready.wait(_PATIENCE_S) or self._fault:
            raise KitError(
                f"The broker could not listen at {address} ({self._fault}).",
                hint="is another one running there? Leave the port out to take a free one.",
            ) from self._fault

    def _serve(self) -> None:
        asyncio.set_event_loop(self._loop)
        try:
            self._loop.run_until_complete(self._house.open(self.address.host, self.address.port))
        except BaseException as fault:  # told in the thread that asked for it
            self._fault = fault
            self._loop.close()
            return
        finally:
            self._ready.set()
        self._loop.run_forever()
        self._loop.close()

    @property
    def running(self) -> bool:
        """Whether it listens."""
        return self._thread.is_alive()

    def close(self) -> None:
        """End it; its sessions and retained messages are gone."""
        if self in _OPEN:
            _OPEN.remove(self)
        if not self.running:
            return
        ended = asyncio.run_coroutine_threadsafe(self._house.close(), self._loop)
        with contextlib.suppress(TimeoutError):
            ended.result(_PATIENCE_S)
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(_PATIENCE_S)

    def __repr__(self) -> str:
        """Say where it listens and who may join."""
        state = "open" if self.running else "closed"
        return f"Office at {self.address}, {state}, {len(self.access.seats)} seats"


def open_office(
    *, listen: str = LOOPBACK, port: int | None = None, password: str = "",
    seats: Iterable[Seat] = (), guest: str = "",
) -> Office:  # fmt: skip
    """Start a broker in this notebook, or give the one that is running.

    Only this computer can reach it, unless told otherwise.  It asks everyone for a user name and a
    password; where none is given one is made and printed.

    Args:
        listen: The address to listen on; "0.0.0.0" for every one that this computer has.
        port: The port; None for MQTT's own (1883), or any free one if that is taken.
        password: The office's password; "" to make one. It stands in `.address.password`.
        seats: The learners, if each is to reach nothing but their own tug.
        guest: The password with which learners may tell the room; "" for none.

    Returns:
        The broker; `.address` says where it is, `.close()` ends it.

    Raises:
        KitError: The port is taken, or an argument is wrong.
    """
    seated = tuple(seats)
    plain = not (password or seated or guest) and listen == LOOPBACK
    if plain and port is None and _OPEN:
        office = _OPEN[0]
    else:
        access = Access(password or make_password(_TYPED), seated, guest)
        number = _free(listen) if port is None else port
        office = Office(Address(listen, number, OFFICE, access.password), access)
        if plain:
            _OPEN.append(office)
    if not password:
        print(f"The broker at {office.address} asks for user {OFFICE}, "
              f"password {office.address.password}.")  # fmt: skip
    return office


def _free(listen: str) -> int:
    """Give MQTT's own port if nobody has it, else any."""
    for port in (PORT, 0):
        with socket.socket(socket.AF_INET6 if ":" in listen else socket.AF_INET) as trial:
            if os.name == "posix":  # as the broker itself: else a new start would find it taken
                trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                trial.bind((listen, port))
            except OSError:
                continue
            return int(trial.getsockname()[1])
    raise KitError(
        f"This computer has no address {listen!r} to listen on.",
        hint=f"leave listen out: then it is {LOOPBACK}, this computer alone.",
    )


@atexit.register
def _close_all() -> None:
    for office in list(_OPEN):
        office.close()
