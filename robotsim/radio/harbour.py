"""The harbour's radio in simulated time: station, connections, broker and office joined.

It answers the board's radio unit (`robotsim.board.radio.Radio` writes the calls down).
"""

from __future__ import annotations

import random
from collections.abc import Callable
from functools import partial

from ..errors import LinkError
from ..recording import Event
from ..units import MS, ns
from .agenda import Agenda
from .airwaves import BROKER, PORT, Airwaves, Order, tug_name
from .broker import Broker
from .connection import Connection
from .door import Limits, OpenDoor
from .modem import PM_PERFORMANCE, Modem
from .packets import Publish
from .station import Station, heard

__all__ = ["ADDRESSES", "HarbourRadio", "air_door"]

ADDRESSES = {
    "tug": "192.168.7.20", "second tug": "192.168.7.21", "gate": "192.168.7.1",
    BROKER: "192.168.7.2",
}  # fmt: skip
_MASK = "255.255.255.0"
_SOON_NS = 5 * MS
"""How soon a tug that is not alone on the air looks again."""
_KEPT = 2_048
"""How many bytes of a payload an event keeps."""
_MOST = 300_000
"""Most events of the radio in one trial."""
_UNREACHABLE = (118, "EHOSTUNREACH")
_RESET, _CLOSED, _NO_NAME = (104, "ECONNRESET"), (128, "ENOTCONN"), (-202, "EAI_FAIL")
_SECURED, _OPEN = 3, 0


def air_door(air: Airwaves) -> OpenDoor:
    """Give the door of the harbour's broker: what the trial's script says of it."""
    return OpenDoor(air.logins, Limits(message=air.message_limit))


class HarbourRadio:
    """What the board's radio finds on the air.

    Args:
        air: The trial's script.
        seed: Seed of what differs from time to time.
        serial: The tug's serial number, from which its topics are made.
        beside: The radio of another tug: this one has the same time and the same broker, and a
            station of its own.  The office's orders go to the first tug, unless they say to whom.

    Attributes:
        supply: Brings what feeds the radio to a time; a supply that gives way raises.
    """

    def __init__(
        self, air: Airwaves, seed: int = 0, serial: int = 0, beside: HarbourRadio | None = None
    ) -> None:
        self.air, self.serial = air, serial
        self.rng = random.Random(f"{seed} {serial} radio")
        self.agenda: Agenda = beside.agenda if beside else Agenda()
        self.happened: list[Event] = []
        self.modem = Modem(random.Random(f"{seed} {serial} beacons"))
        self.station = Station(air.networks, self.agenda, self.rng, self.note, self.modem)
        own = Broker(self.agenda, self.note, air_door(air))
        self.broker: Broker = beside.broker if beside else own
        self.broker.listeners.append(partial(self.tell, "told"))
        self.supply: Callable[[int], None] = lambda now_ns: None
        self.alone = self.first = not beside
        self._waiting: list[Publish] = []
        self._connections: dict[int, Connection] = {}
        self._opened = 0
        for start, end in air.cuts:
            self.agenda.at(ns(start), partial(self.note, "cut", "begins"))
            self.agenda.at(ns(end), partial(self.note, "cut", "ends"))
        if beside:
            self._come_beside(beside)
            return
        for outage in air.outages:
            self.agenda.at(ns(outage.at), partial(self._down, outage.keeps))
            self.agenda.at(ns(outage.at + outage.seconds), self._up)
        for order in air.orders:
            self.agenda.at(ns(order.at), partial(self._order, order))

    def _come_beside(self, first: HarbourRadio) -> None:
        """Let what the broker tells be noted by both."""
        first.alone = False

        def note(what: str, detail: str = "") -> None:
            first.note(what, detail)
            self.note(what, detail)

        self.broker.note = note

    # -- what is noted -----------------------------------------------------------

    def note(self, what: str, detail: str = "") -> None:
        """Note what happened on the air."""
        self.happened.append(Event(self.agenda.now_ns, "radio", (what, detail)))

    def tell(self, stage: str, message: Publish) -> None:
        """Note a message at one stage of its way."""
        kept = message.payload[:_KEPT].hex()
        data = (stage, message.topic, kept, len(message.payload), message.qos, message.retain,
                message.duplicate)  # fmt: skip
        self.happened.append(Event(self.agenda.now_ns, "message", data))

    # -- the office ----------------------------------------------------------------

    def _order(self, order: Order) -> None:
        topic = order.to or f"harbour/{tug_name(self.serial)}/order"
        message = Publish(topic, order.payload, order.qos, order.retain)
        self.tell("order", message)
        if self.broker.is_up:
            self.broker.publish(message)
        elif message.qos:
            self._waiting.append(message)

    def _down(self, keeps: bool) -> None:
        self.broker.is_up = False
        self.broker.note("broker", "down")
        self.broker.shut(keeps=keeps)

    def _up(self) -> None:
        self.broker.is_up = True
        self.broker.note("broker", "up")
        for message in self._waiting:
            self.broker.publish(message)
        self._waiting.clear()

    # -- time ------------------------------------------------------------------------

    def advance(self, now_ns: int) -> None:
        """Let everything happen that is due up to a time; the tug's supply may give way before."""
        self.supply(now_ns)
        self.agenda.advance(now_ns)

    def next_ns(self) -> int | None:
        """When something happens next, None if nothing is on its way.

        Who is not alone looks again soon: the other tug may send something at any time.
        """
        due = self.agenda.next_ns
        if self.alone:
            return due
        soon = self.agenda.now_ns + _SOON_NS
        return soon if due is None else min(soon, due)

    def power_off(self, now_ns: int) -> None:
        """The board starts anew: its station and its connections are gone without a word."""
        self.advance(now_ns)
        for connection in self._connections.values():
            connection.vanish()
        self._connections.clear()
        self.station.switch(False)
        self.station.retries = -1
        self.save(PM_PERFORMANCE)

    def draws(self, begin_ns: int, end_ns: int) -> tuple[float, float]:
        """Give the mean and the highest current that the radio draws between two times, in A."""
        self.agenda.advance(end_ns)
        return self.modem.draws(begin_ns, end_ns)

    # -- the station -------------------------------------------------------------------

    @property
    def scan_ns(self) -> int:
        """How long a scan takes."""
        return self.station.scan_ns

    def scan(self) -> list[tuple[str, bytes, int, int, int, bool]]:
        """Give the networks: name, address, channel, signal in dBm, kind of lock, hidden."""
        self.note("scan")
        now = self.agenda.now_ns
        found = []
        for point, signal in heard(self.air.networks, now):
            number = list(self.air.networks).index(point)
            address = bytes((2, 0x51, 0, 0, 1, number))
            lock = _SECURED if point.key else _OPEN
            told = round(signal + self.rng.uniform(-2.0, 2.0))
            found.append((point.name, address, point.channel, told, lock, False))
        return found

    def switch(self, on: bool) -> None:
        """Switch the station on or off."""
        self.station.switch(on)

    @property
    def active(self) -> bool:
        """Whether the station is switched on."""
        return self.station.active

    def join(self, name: str, key: str) -> bool:
        """Begin to join a network; False if the station is at it already."""
        return self.station.join(name, key)

    def leave(self) -> None:
        """Leave the network."""
        self.station.leave()

    def save(self, saving: int) -> None:
        """Set how the station saves power: the board's number."""
        self.modem.save(saving, self.agenda.now_ns)

    def retry(self, times: int) -> None:
        """Set how often joining is tried again; -1: for ever."""
        self.station.retries = times

    def status(self) -> tuple[int, bool, int]:
        """Give the status's number, whether the network is joined, and its signal in dBm."""
        return self.station.status, self.station.joined is not None, round(self.station.signal)

    def addresses(self) -> tuple[str, str, str, str]:
        """Give the station's own address, the mask, the gateway and the name server."""
        if not self.station.joined:
            return ("0.0.0.0",) * 4  # noqa: S104  no address, not a place to listen
        own = ADDRESSES["tug" if self.first else "second tug"]
        return own, _MASK, ADDRESSES["gate"], ADDRESSES["gate"]

    # -- connections ---------------------------------------------------------------------

    def find(self, host: str) -> str:
        """Give the address of a host.

        Raises:
            OSError: There is no network, or nobody knows the name.
        """
        if all(piece.isdigit() for piece in host.split(".")) and host.count(".") == 3:
            return host
        if not self.station.joined or host not in ADDRESSES:
            raise OSError(*_NO_NAME)
        return ADDRESSES[host]

    def open(self, host: str, port: int) -> int:
        """Begin to connect; `ready` tells when it is done.

        Raises:
            OSError: There is no network.
        """
        if not self.station.joined:
            raise OSError(*_UNREACHABLE)
        self._opened += 1
        here = (host, port) == (ADDRESSES[BROKER], PORT)
        self._connections[self._opened] = Connection(self, here)
        return self._opened

    def ready(self, number: int) -> bool:
        """Tell whether a connection stands; False while it is being made.

        Raises:
            OSError: It was refused, or nobody answered.
        """
        connection = self._find(number)
        if connection.fault:
            raise OSError(*connection.fault)
        return connection.peer is not None or connection.over

    def send(self, number: int, data: bytes) -> int:
        """Send bytes and give how many were taken.

        Raises:
            OSError: The connection, or the network, is gone.
            LinkError: The program floods the radio.
        """
        if len(self.happened) > _MOST:
            raise LinkError(
                f"More than {_MOST:,} things have happened on the radio.",
                hint="let the program's loops sleep, and report less often.",
            )
        connection = self._find(number)
        if connection.fault:
            raise OSError(*connection.fault)
        if not self.station.joined:
            raise OSError(*_UNREACHABLE)
        if connection.over and connection.inbox_ended:
            raise OSError(*_RESET)
        connection.say(data)
        return len(data)

    def take(self, number: int, count: int) -> bytes | None:
        """Give up to so many bytes that have arrived, b"" at the end, None if none are there.

        Raises:
            OSError: The connection is gone.
        """
        connection = self._find(number)
        if connection.inbox:
            return connection.take(count)
        if connection.fault:
            raise OSError(*connection.fault)
        return b"" if connection.inbox_ended else None

    def close(self, number: int) -> None:
        """Close a connection; one that is closed already stays so."""
        connection = self._connections.pop(number, None)
        if connection:
            connection.hang_up()

    def _find(self, number: int) -> Connection:
        if number not in self._connections:
            raise OSError(*_CLOSED)
        return self._connections[number]

    def passes(self) -> bool:
        """Tell whether a sending gets through now."""
        now = self.agenda.now_ns
        if not self.station.reaches or any(ns(a) <= now < ns(b) for a, b in self.air.cuts):
            return False
        return self.rng.random() >= self.air.loss

    def travel(self) -> int:
        """Give how long a sending takes between the network and the broker, in ns."""
        return int((self.air.latency_ms + self.air.jitter_ms * self.rng.random()) * MS)

    def travel_up(self) -> int:
        """Give the same for what the station sends, which it does at once."""
        self.modem.send(self.agenda.now_ns)
        return self.travel()

    def travel_down(self) -> int:
        """Give the same for what is for the station, which may nap."""
        now = self.agenda.now_ns
        return self.modem.hear(now + self.travel()) - now
