"""Screen: the teacher's side, which listens, keeps a journal and writes the page."""

from __future__ import annotations

import contextlib
import secrets
import socket
import time
import webbrowser
from collections.abc import Iterator
from pathlib import Path
from queue import Empty, Queue
from typing import Any, NamedTuple

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from robotsim import KitError
from robotsim.live.access import OFFICE, ROOM, Access
from robotsim.live.address import LOOPBACK, Address, read_address
from robotsim.live.office import open_office
from robotsim.radio import PORT

from ..alone import alone
from ..course.seats import SEATS, kept_access
from ..doctor import browser as find_browser
from ..faults import see_there
from ..shown import say
from ..whole import write_whole
from .journal import Journal
from .large import large_page
from .message import BadMessage, read_topic, today
from .model import Room
from .page import REFRESH_S, page
from .view import view

__all__ = ["Ear", "Heard", "Screen", "lan_address", "show_room"]

EVERYBODY = "0.0.0.0"  # noqa: S104
_SOONEST_S = 0.5
"""Between two versions of the page, however much is heard."""
_PATIENCE_S = 10.0
_AGAIN_S = (1, 5)
_LONGEST, _MOST_WAITING = 2000, 5000


class Heard(NamedTuple):
    """A message as it came: its topic, payload, and whether the broker had it from before."""

    topic: str
    payload: bytes
    kept: bool


class Ear:
    """Listens at a broker, and comes back by itself when that was away.

    Args:
        address: The broker, with the office's user name and password if it asks for them.

    Raises:
        KitError: Nobody answers there, or the password is refused.
    """

    def __init__(self, address: Address) -> None:
        self.heard: Queue[Heard] = Queue(_MOST_WAITING)
        self._answer: Queue[str] = Queue()
        self.client = client = paho.Client(
            CallbackAPIVersion.VERSION2, client_id=f"screen-{secrets.token_hex(8)}"
        )
        if address.user:
            client.username_pw_set(address.user, address.password)
        client.connect_timeout = _PATIENCE_S
        client.reconnect_delay_set(*_AGAIN_S)
        client.on_connect, client.on_message = self._connected, self._message
        client.on_subscribe = self._subscribed
        try:
            client.connect(address.host, address.port, keepalive=10)
        except (OSError, ValueError) as fault:
            raise KitError(f"No broker answers at {address} ({fault}).",
                           hint="is it running, and is the address right?") from fault  # fmt: skip
        client.loop_start()
        try:
            refused = self._answer.get(timeout=_PATIENCE_S)
        except Empty:
            refused = "it did not answer"
        if refused:
            client.loop_stop()
            raise KitError(
                f"The broker at {address} did not let the screen in: {refused}.",
                hint=f"the office's password is read from broker/{SEATS} in the course folder.",
            )

    @property
    def up(self) -> bool:
        """Whether the connection stands."""
        return self.client.is_connected()

    def close(self) -> None:
        """Listen no more."""
        self.client.disconnect()
        self.client.loop_stop()

    def _connected(
        self, client: paho.Client, data: Any, flags: Any, reason: Any, properties: Any
    ) -> None:
        if reason.is_failure:
            self._answer.put(str(reason))
        else:
            client.subscribe(f"{ROOM}/+/+", 1)

    def _subscribed(
        self, client: paho.Client, data: Any, number: int, reasons: Any, properties: Any
    ) -> None:
        # Only from here on nothing is missed.
        refused = [str(reason) for reason in reasons if reason.is_failure]
        self._answer.put(", ".join(refused))

    def _message(self, client: paho.Client, data: Any, message: paho.MQTTMessage) -> None:
        # What is too long is cut here, so that nobody's laptop fills this one's memory.
        told = Heard(message.topic[:200], bytes(message.payload[:_LONGEST]), bool(message.retain))
        with contextlib.suppress(Exception):  # a full queue: somebody floods it
            self.heard.put_nowait(told)


class Screen:
    """A room with its journal and its pages.

    Args:
        folder: Where both lie.
        stuck_s: How long until a task counts as stuck, in s.
        now: The time, in s since 1970; its day names the journal.

    Raises:
        KitError: The folder cannot be written to.
    """

    def __init__(self, folder: Path, stuck_s: float, now: float) -> None:
        self.page, self.large, self.stuck_s = folder / "room.html", folder / "large.html", stuck_s
        self.journal = Journal(folder / f"{today(now)}.jsonl")
        self.room = Room()
        self.spoilt = self.journal.replay(self.room)

    def hear(self, told: Heard, now: float) -> bool:
        """Take a message in, note it, and tell whether the page is another now."""
        try:
            key, what = read_topic(told.topic)
        except BadMessage as fault:
            self.room.refuse(str(fault))
            return True
        before = self.room.refused.total()
        if not self.room.hear(key, what, told.payload, now, told.kept):
            return self.room.refused.total() > before
        if key in self.room.learners:
            self.journal.note(now, key, what, told.payload)
        else:
            self.journal.forget(key)
        return True

    def write(self, now: float, state: str = "", *, ended: bool = False) -> None:
        """Write the page, with words on the screen itself; the last one loads itself no more."""
        shown = view(self.room, now, self.stuck_s)
        pages = {
            self.page: page(shown, now, stuck_s=self.stuck_s, state=state, ended=ended),
            self.large: large_page(shown, now, state=state, ended=ended),
        }
        for path, text in pages.items():
            # Windows refuses while a browser is reading; the next version comes soon.
            with contextlib.suppress(PermissionError):
                write_whole(path, text.encode("utf-8"))

    def follow(self, ear: Ear) -> None:
        """Listen and write until interrupted."""
        written, changed, was_up = 0.0, True, True
        lost = ""
        while True:
            now = time.time()
            if changed and now - written >= _SOONEST_S or abs(now - written) >= REFRESH_S:
                self.write(now, lost)
                written, changed = now, False
            with contextlib.suppress(Empty):
                told: Heard | None = ear.heard.get(timeout=_SOONEST_S)
                while told is not None:
                    changed = self.hear(told, time.time()) or changed
                    told = None if ear.heard.empty() else ear.heard.get_nowait()
            if ear.up != was_up:
                was_up, changed = ear.up, True
                clock = time.strftime("%H:%M", time.localtime())
                lost = "" if was_up else f"The broker is away since {clock}; below is how it was."


def show_room(
    folder: Path, broker: str | None, port: int | None, stuck_s: float, *, browser: bool = True
) -> None:
    """Show a room until interrupted.

    Args:
        folder: The course folder, or any other; the page goes into its folder `room`.
        broker: The address of a broker of the class's own; None to start one.
        port: The port of the one that is started; None for MQTT's own, or a free one.
        stuck_s: How long until a task counts as stuck, in s.
        browser: Whether to open the page.

    Raises:
        KitError: There is no such folder, a room of it is open, a broker cannot be started or does
            not answer, or a file cannot be written.
    """
    see_there(folder)  # a slip of the name would begin anew, beside this morning's journal
    if not stuck_s > 0:
        raise KitError(f"A task counts as stuck after more than 0 minutes, not {stuck_s / 60:g}.",
                       hint="leave --stuck out: then it is 10.")  # fmt: skip
    screen = Screen(folder / "room", stuck_s, time.time())
    if screen.spoilt:
        say(f"{screen.spoilt} lines of the journal could not be read and are left out.")
    open_at = screen.page.with_name("open.txt")
    with (alone(open_at.with_suffix(".lock"), lambda: _taken(folder, open_at)),
          _broker(folder, broker, port) as (address, access, told)):  # fmt: skip
        write_whole(open_at, told.encode())
        ear = Ear(address)
        _say(access, told)
        screen.write(time.time())
        say("", f"The page: {screen.page}", f"For the last row to read: {screen.large}",
            "To stop: Ctrl-C")  # fmt: skip
        if browser and find_browser().ok:
            webbrowser.open(screen.page.as_uri())
        try:
            screen.follow(ear)
        except KeyboardInterrupt:
            clock = time.strftime("%H:%M", time.localtime())
            screen.write(time.time(), f"Ended at {clock}; this is how it was.", ended=True)
            say("", f"Ended. The page: {screen.page}", f"The journal: {screen.journal.path}")
        except OSError as fault:
            raise KitError(
                f"The page or the journal cannot be written ({fault.strerror}).",
                where=str(screen.page.parent), hint="is the disk full?",
            ) from fault  # fmt: skip
        finally:
            ear.close()
            open_at.unlink(missing_ok=True)


def _taken(folder: Path, open_at: Path) -> KitError:
    """Say that a room of this folder is open: two would write one page in turns."""
    try:
        where = f", at {open_at.read_text(encoding='utf-8')}"
    except OSError:  # it is only just opening
        where = ""
    return KitError(f"A room of this folder is open already{where}.", where=str(folder),
                    hint="use that one, or end it with Ctrl-C in its window.")  # fmt: skip


@contextlib.contextmanager
def _broker(
    folder: Path, broker: str | None, port: int | None
) -> Iterator[tuple[Address, Access, str]]:
    """Give the broker as the screen reaches it, who may join, and the address for learners."""
    place = folder / "broker"
    if broker is not None:
        read_address(broker)
        access = kept_access(place) if (place / SEATS).is_file() else Access()
        user = OFFICE if access.password else ""
        yield read_address(broker, user, access.password), access, broker
        return
    access = kept_access(place)
    office = open_office(listen=EVERYBODY, port=port, password=access.password,
                         seats=access.seats, guest=access.guest)  # fmt: skip
    try:
        own = Address(LOOPBACK, office.address.port, OFFICE, access.password)
        yield own, access, str(Address(lan_address(), own.port)).removesuffix(f":{PORT}")
    finally:
        office.close()


def _say(access: Access, told: str) -> None:
    """Print what goes onto the board."""
    word = f', password="{access.guest}"' if access.guest else ""
    shell = f" --password {access.guest}" if access.guest else ""
    say(
        "On the board, for every notebook:", "",
        "    from checks.room import join_room", f'    join_room("ALIAS", "{told}"{word})', "",
        "and where no notebook opens yet:", "",
        f"    python3 lessons --doctor --room {told} --alias ALIAS{shell}",
    )  # fmt: skip
    if told.startswith("127."):
        say("", "This computer is in no network: nobody else can reach it.")


def lan_address() -> str:
    """Give this computer's address in its network, the loopback's if it is in none."""
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        asked.connect(("192.0.2.1", 9))  # nothing is sent: RFC 5737, for documentation
        return str(asked.getsockname()[0])
    with contextlib.suppress(OSError):  # a network that leads nowhere else
        for found in socket.gethostbyname_ex(socket.gethostname())[2]:
            if not found.startswith("127."):
                return found
    return LOOPBACK
