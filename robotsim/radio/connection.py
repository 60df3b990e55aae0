"""Connection: one stream from the tug to the broker, over the air."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from ..units import SECOND
from .broker import Peer
from .packets import PUBLISH, BadPacket, PacketReader, Publish
from .pipes import Way

if TYPE_CHECKING:
    from .harbour import HarbourRadio

__all__ = ["Connection"]

_OPEN_NS = 18 * SECOND
"""How long a connection is tried (what such boards take, from memory)."""
_REFUSED, _TIMED_OUT = (111, "ECONNREFUSED"), (116, "ETIMEDOUT")


class Connection:
    """One connection from the tug; the broker sees it as a `Line`."""

    def __init__(self, radio: HarbourRadio, here: bool) -> None:
        self.radio, self.here = radio, here
        self.peer: Peer | None = None
        self.inbox = bytearray()
        self.inbox_ended = self.over = False
        self.fault: tuple[int, str] | None = None
        self._gone = False
        agenda, passes, up = radio.agenda, radio.passes, radio.travel_up
        self._out = Way(agenda, passes, up, self._at_broker, self._lose)
        self._back = Way(agenda, passes, radio.travel_down, self._at_tug, self._lose)
        self._taps: dict[str, PacketReader | None] = {
            stage: PacketReader() for stage in ("said", "arrived", "taken")
        }
        self._way_in = Way(agenda, passes, up, self._knock, self._lose)
        self._way_in.push(b"")
        agenda.after(_OPEN_NS, self._patience)

    # -- from the tug ----------------------------------------------------------

    def say(self, data: bytes) -> None:
        """Send bytes."""
        self._tap("said", data)
        self._out.push(data)

    def take(self, count: int) -> bytes:
        """Give up to so many bytes that have arrived."""
        data = bytes(self.inbox[:count])
        del self.inbox[:count]
        self._tap("taken", data)
        return data

    def hang_up(self) -> None:
        """End it from the tug's side."""
        self._gone = True
        self._out.push(b"", end=True)

    def vanish(self) -> None:
        """The board has started anew and knows nothing of this."""
        self._gone = True
        self._out.cut()

    # -- on the way --------------------------------------------------------------

    def _knock(self, _data: bytes, _end: bool) -> None:
        """The wish to connect has reached the broker's machine; its answer goes back."""
        if self.here and self.radio.broker.is_up:
            if not self._gone:
                peer = self.radio.broker.accept(self)
                self.radio.agenda.after(self.radio.travel_down(), partial(self._answered, peer))
        else:
            self.radio.agenda.after(self.radio.travel_down(), partial(self._refuse, _REFUSED))

    def _answered(self, peer: Peer) -> None:
        self.peer = peer

    def _refuse(self, fault: tuple[int, str]) -> None:
        self.fault = fault
        self.radio.note("not connected", fault[1])

    def _patience(self) -> None:
        if self.peer is None and not self.fault and not self._gone:
            self._way_in.cut()
            self._refuse(_TIMED_OUT)

    def _lose(self) -> None:
        """Nothing has passed for too long."""
        self.fault = self.fault or _TIMED_OUT
        self._out.cut()
        self._back.cut()
        if self.peer:
            self.peer.gone()

    def _at_broker(self, data: bytes, end: bool) -> None:
        if self.peer is None:
            return
        self.peer.received(data)
        if end:
            self.peer.gone()

    def _at_tug(self, data: bytes, end: bool) -> None:
        if self._gone:  # nobody here knows this connection: that is what the broker is told
            self._back.cut()
            if self.peer:
                self.radio.agenda.after(self.radio.travel(), self.peer.gone)
            return
        self.radio.modem.heard(self.radio.agenda.now_ns)
        self._tap("arrived", data)
        self.inbox += data
        self.inbox_ended |= end

    def _tap(self, stage: str, data: bytes) -> None:
        """Note the messages that go past."""
        reader = self._taps[stage]
        if reader is None:
            return
        try:
            for packet in reader.feed(data):
                if packet.kind == PUBLISH:
                    self.radio.tell(stage, Publish.read(packet))
        except BadPacket:
            self._taps[stage] = None

    # -- as the broker's line ------------------------------------------------------

    def send(self, data: bytes) -> None:
        """Send bytes to the tug."""
        self._back.push(data)

    def takes(self) -> bool:
        """Tell that more can be sent: in simulated time nothing piles up."""
        return True

    def close(self) -> None:
        """End the connection from the broker's side."""
        self.over = True
        self._back.push(b"", end=True)
