"""Station: the board's end of a wireless network; what `network.WLAN` tells and does."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from functools import partial

from ..units import MS, SECOND, ns
from .agenda import Agenda
from .airwaves import AccessPoint
from .modem import Modem

__all__ = ["FLOOR_DBM", "Station", "heard"]

FLOOR_DBM = -88.0
"""Below this a network is heard, but cannot be used (common practice, no source)."""
_DEAF_DBM = -95.0
_SCAN_NS = 2_100 * MS
"""All channels in turn (invented; such boards take about 2 s)."""
_JOIN_NS, _SPREAD_NS = 1_200 * MS, 400 * MS
"""Finding, joining, getting an address (invented; such boards take 1 to 4 s)."""
_BEACON_NS = 6 * SECOND
"""A network that falls silent is given up after this (ESP-IDF's default, from memory)."""
_IDLE, _CONNECTING, _GOT_IP = 1000, 1001, 1010
_BEACON_TIMEOUT, _NO_AP, _PASSWORD = 200, 201, 202


def heard(networks: Sequence[AccessPoint], now_ns: int) -> list[tuple[AccessPoint, float]]:
    """Give the networks that can be heard, the strongest first."""
    found = [(point, point.signal_at(now_ns)) for point in networks]
    loud = [(point, signal) for point, signal in found if signal is not None]
    loud = [(point, signal) for point, signal in loud if signal >= _DEAF_DBM]
    return sorted(loud, key=lambda pair: -pair[1])


class Station:
    """A wireless station.

    *Model*: once asked to join it tries again and again, as the board's own driver does, so that
    its status stays "connecting" with a wrong password too; only `retries` lets it give up and
    tell the reason. A network that is switched off says goodbye and is lost at once; one that
    fades below what can be used is missed only after six seconds.
    *Source*: MicroPython's WLAN documentation (read); the driver's habits from memory.

    Args:
        networks: What is on the air.
        agenda: The clock.
        rng: For what differs from time to time.
        note: Told of what happens: what, and a detail.
        modem: Its radio.
    """

    scan_ns = _SCAN_NS

    def __init__(
        self, networks: Sequence[AccessPoint], agenda: Agenda, rng: random.Random,
        note: Callable[[str, str], None], modem: Modem,
    ) -> None:  # fmt: skip
        self.networks, self.agenda, self.rng, self.note = networks, agenda, rng, note
        self.modem = modem
        self.active = False
        self.joined: AccessPoint | None = None
        self.wanted: tuple[str, str] | None = None
        self.retries = -1
        self.tried = 0
        self.reason = 0
        self._turn = 0
        for point in networks:
            for start, end, _ in point.spells:
                agenda.at(ns(start), self._look)
                agenda.at(ns(end), self._look)

    def switch(self, on: bool) -> None:
        """Switch the radio on or off."""
        if on != self.active:
            self.note("on" if on else "off", "")
        if not on:
            self.leave()
            self.reason = 0
        self.active = on
        self.modem.switch(on, self.agenda.now_ns)

    def join(self, name: str, key: str) -> bool:
        """Begin to join a network; False if it is at it already."""
        if self.joined is None and self.wanted is not None and not self._gave_up:
            return False
        self.leave()
        self.wanted, self.tried, self.reason = (name, key), 0, 0
        self.note("joining", name)
        self._try()
        return True

    def leave(self) -> None:
        """Leave the network, or stop trying."""
        if self.joined:
            self.note("left", self.joined.name)
        self._turn += 1
        self.joined = self.wanted = None
        self.modem.join(False, self.agenda.now_ns)

    @property
    def _gave_up(self) -> bool:
        return 0 <= self.retries < self.tried

    @property
    def status(self) -> int:
        """The status as the board numbers it."""
        if self.joined:
            return _GOT_IP
        if self.wanted and not self._gave_up:
            return _CONNECTING
        return self.reason or _IDLE

    @property
    def signal(self) -> float:
        """How strong the joined network is, in dBm; 0 without one."""
        return (self.joined.signal_at(self.agenda.now_ns) or _DEAF_DBM) if self.joined else 0.0

    @property
    def reaches(self) -> bool:
        """Whether the network carries anything just now."""
        return self.joined is not None and self.signal >= FLOOR_DBM

    def _try(self) -> None:
        self._turn += 1
        turn = self._turn
        self.modem.send(self.agenda.now_ns)
        spread = int(self.rng.random() * _SPREAD_NS)
        self.agenda.after(_JOIN_NS + spread, lambda: self._tried(turn))

    def _tried(self, turn: int) -> None:
        if turn != self._turn or self.wanted is None:
            return
        name, key = self.wanted
        near = [
            point for point, _ in heard(self.networks, self.agenda.now_ns) if point.name == name
        ]
        if not near:
            self._fail(_NO_AP, f"{name}: not found")
        elif near[0].key and near[0].key != key:
            self._fail(_PASSWORD, f"{name}: wrong password")
        elif (near[0].signal_at(self.agenda.now_ns) or _DEAF_DBM) < FLOOR_DBM:
            self._fail(_BEACON_TIMEOUT, f"{name}: too weak")
        else:
            self.joined, self.tried, self.reason = near[0], 0, 0
            self.note("joined", name)
            self.modem.send(self.agenda.now_ns)
            self.modem.join(True, self.agenda.now_ns)

    def _fail(self, reason: int, told: str) -> None:
        self.reason, self.tried = reason, self.tried + 1
        self.note("not joined", told)
        if not self._gave_up:
            self._try()

    def _look(self) -> None:
        """See whether the network that is joined is still there."""
        if self.joined is None:
            return
        signal = self.joined.signal_at(self.agenda.now_ns)
        if signal is None:
            self._lose()
        elif signal < FLOOR_DBM:
            self.agenda.after(_BEACON_NS, partial(self._miss, self._turn))

    def _miss(self, turn: int) -> None:
        if turn == self._turn and not self.reaches:
            self._lose()

    def _lose(self) -> None:
        if self.joined is None:
            return
        self.note("lost", self.joined.name)
        self.joined, self.reason = None, _BEACON_TIMEOUT
        self.modem.join(False, self.agenda.now_ns)
        self._try()
