"""Radio unit: what the board does with the air, message by message.

The air itself is a `Radio` that the trial plugs in: in simulated time
(`robotsim.radio.HarbourRadio`), or a real network.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol, TypeVar

from ..units import MS, US
from .faults import BoardFault
from .unit import Clock, Handlers, Unit, Waiting

__all__ = ["Radio", "RadioUnit"]

_BYTE_NS = 8 * US
"""Hand one byte to the radio or take one from it: about a megabit a second (invented)."""
_CALL_NS = 200 * US
"""Any call of the network's software (invented)."""
_SWITCH_NS = 80 * MS
"""Switch the radio on or off (invented)."""
_MOST = 4_096
"""Most bytes that one message carries, either way."""
_T = TypeVar("_T")


class Radio(Protocol):
    """What is on the air.  All calls speak of the time that `advance` was last told.

    A call that a real network could refuse raises `OSError(number, name)` with the board's own
    numbers, such as `OSError(118, "EHOSTUNREACH")`.
    """

    def advance(self, now_ns: int) -> None:
        """Let everything happen that is due up to a time."""

    def next_ns(self) -> int | None:
        """When to look again, None if nothing is on its way."""

    def switch(self, on: bool) -> None:
        """Switch the station on or off."""

    @property
    def active(self) -> bool:
        """Whether the station is switched on."""

    @property
    def scan_ns(self) -> int:
        """How long a scan takes."""

    def scan(self) -> list[tuple[str, bytes, int, int, int, bool]]:
        """Give the networks: name, address, channel, signal in dBm, kind of lock, hidden."""

    def join(self, name: str, key: str) -> bool:
        """Begin to join a network; False if the station is at it already."""

    def leave(self) -> None:
        """Leave the network."""

    def retry(self, times: int) -> None:
        """Set how often joining is tried again; -1: for ever."""

    def save(self, saving: int) -> None:
        """Set how the station saves power: 0 not at all, 1 by naps between beacons, 2 by longer."""

    def status(self) -> tuple[int, bool, int]:
        """Give the status's number, whether the network is joined, and its signal in dBm."""

    def addresses(self) -> tuple[str, str, str, str]:
        """Give the station's own address, the mask, the gateway and the name server."""

    def find(self, host: str) -> str:
        """Give the address of a host."""

    def open(self, host: str, port: int) -> int:
        """Begin to connect: the connection's number."""

    def ready(self, number: int) -> bool:
        """Tell whether a connection stands; False while it is being made."""

    def send(self, number: int, data: bytes) -> int:
        """Send bytes and give how many were taken."""

    def take(self, number: int, count: int) -> bytes | None:
        """Give up to so many bytes that have arrived, b"" at the end, None if none are there."""

    def close(self, number: int) -> None:
        """Close a connection; one that is closed already stays so."""


class RadioUnit(Unit):
    """Carries out a program's messages to the radio.

    Args:
        board: The board.
        radio: The air; None for a board without a radio.
    """

    def __init__(self, board: Clock, radio: Radio | None) -> None:
        super().__init__(board)
        self._radio = radio
        self._verbs: dict[bytes, Callable[..., str | Waiting[str]]] = {
            b"on": self._on, b"scan": self._scan, b"join": self._join, b"leave": self._leave,
            b"retry": self._retry, b"status": self._status, b"addresses": self._addresses,
            b"find": self._find, b"open": self._open, b"send": self._send, b"take": self._take,
            b"close": self._close, b"save": self._save,
        }  # fmt: skip

    def handlers(self) -> Handlers:
        """Give the messages that this unit carries out."""
        return {b"C": self._carry_out}

    def _carry_out(self, verb: bytes, *words: bytes) -> Waiting[bytes]:
        do = self._verbs[verb]
        self.board.now_ns += _CALL_NS
        try:
            given = do(*words)
            return (given if isinstance(given, str) else (yield from given)).encode()
        except OSError as fault:
            raise BoardFault("OSError", f"[Errno {fault.args[0]}] {fault.args[1]}") from fault

    @property
    def radio(self) -> Radio:
        """The air, brought to the present.

        Raises:
            BoardFault: The board has no radio.
        """
        if self._radio is None:
            raise BoardFault("OSError", "[Errno 19] ENODEV")
        self._radio.advance(self.board.now_ns)
        return self._radio

    def _until(self, look: Callable[[], _T | None], wait_ns: int) -> Waiting[_T | None]:
        """Look again whenever something has happened: what is found, None when the time is over.

        Args:
            look: Gives None while there is nothing.
            wait_ns: At most so long; below 0 without end.
        """
        board = self.board
        end_ns = board.limit_ns if wait_ns < 0 else board.now_ns + wait_ns
        while True:
            found = look()
            if found is not None or board.now_ns >= end_ns:
                return found
            next_ns = self.radio.next_ns()
            yield from board.pass_until(end_ns if next_ns is None else min(end_ns, next_ns))

    # -- the station -----------------------------------------------------------

    def _on(self, word: bytes) -> str:
        if word != b"-":
            on = bool(int(word))
            if on != self.radio.active:
                self.radio.switch(on)
                self.board.now_ns += _SWITCH_NS
        return str(int(self.radio.active))

    def _scan(self) -> Waiting[str]:
        if not self.radio.active:
            return "off"
        yield from self.board.pass_until(self.board.now_ns + self.radio.scan_ns)
        return " ".join(
            f"{name.encode().hex()},{address.hex()},{channel},{signal},{lock},{int(hidden)}"
            for name, address, channel, signal, lock, hidden in self.radio.scan()
        )

    def _join(self, name: bytes, key: bytes) -> str:
        if not self.radio.active:
            return "off"
        joined = self.radio.join(_text(name), _text(key))
        return "ok" if joined else "busy"

    def _leave(self) -> str:
        self.radio.leave()
        return ""

    def _retry(self, times: bytes) -> str:
        self.radio.retry(max(-1, int(times)))
        return ""

    def _save(self, saving: bytes) -> str:
        if saving not in (b"0", b"1", b"2"):
            raise ValueError(saving)
        self.radio.save(int(saving))
        return ""

    def _status(self) -> str:
        number, joined, signal = self.radio.status()
        return f"{number} {int(joined)} {signal}"

    def _addresses(self) -> str:
        return " ".join(self.radio.addresses())

    # -- connections -----------------------------------------------------------

    def _find(self, host: bytes) -> str:
        return self.radio.find(_text(host))

    def _open(self, host: bytes, port: bytes, wait_ms: bytes) -> Waiting[str]:
        number = self.radio.open(_text(host), int(port))
        ready = self._until(lambda: self.radio.ready(number) or None, int(wait_ms) * MS)
        if (yield from ready) is None:
            self.radio.close(number)
            raise OSError(116, "ETIMEDOUT")
        return str(number)

    def _send(self, number: bytes, data: bytes) -> str:
        sent = bytes.fromhex(data.decode())
        if len(sent) > _MOST:
            raise ValueError(len(sent))
        self.board.now_ns += len(sent) * _BYTE_NS
        return str(self.radio.send(int(number), sent))

    def _take(self, number: bytes, count: bytes, wait_ms: bytes) -> Waiting[str]:
        connection, most = int(number), min(int(count), _MOST)
        if most < 1:
            raise ValueError(count)
        taken = self._until(lambda: self.radio.take(connection, most), int(wait_ms) * MS)
        data = yield from taken
        if data is None:
            return "-"
        self.board.now_ns += len(data) * _BYTE_NS
        return data.hex()

    def _close(self, number: bytes) -> str:
        self.radio.close(int(number))
        return ""


def _text(word: bytes) -> str:
    return bytes.fromhex(word.decode()[1:]).decode("utf-8", "replace")
