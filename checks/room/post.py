"""Post: a learner's laptop publishes a few retained messages and goes again."""

from __future__ import annotations

import secrets
import socket
import time
from collections.abc import Mapping

from robotsim import KitError
from robotsim.live.address import Address
from robotsim.radio.packets import (
    CONNACK,
    DISCONNECT,
    PUBACK,
    BadPacket,
    Connect,
    Packet,
    PacketReader,
    Publish,
    encode,
)

__all__ = ["PATIENCE_S", "post"]

PATIENCE_S = 10.0
"""For whoever waits for an answer; who is not there refuses at once, so this is for the silent."""
_HUNG_UP = "it has hung up"
_BAD_PASSWORD, _NOT_ALLOWED = 4, 5
"""Return codes of CONNACK: MQTT 3.1.1, 3.2.2.3."""


def post(address: Address, messages: Mapping[str, bytes], patience_s: float = PATIENCE_S) -> None:
    """Publish messages, retained and at QoS 1, and wait until the broker has them all.

    This is not paho: the laptop that matters most is the one that is not ready, where nothing is
    installed and the doctor runs with the standard library alone.

    Args:
        address: The broker.
        messages: Topic to payload; an empty payload takes back what is retained there.
        patience_s: How long all of it may take, in s.

    Raises:
        KitError: No broker answers there, or it says that it does not let us in.
    """
    end = time.monotonic() + patience_s
    try:
        with socket.create_connection((address.host, address.port), patience_s) as line:
            _exchange(_Line(line, end), address, messages)
    except (OSError, ValueError) as fault:  # ValueError: a host that no name can be, BadPacket
        raise KitError(
            f"The broker at {address} does not answer ({_why(fault)}).",
            hint="is the address as on the board, are you in the same network, is the teacher's "
            "screen on?",
        ) from fault


def _why(fault: Exception) -> str:
    """Give one reason for one thing: a hang-up ends in a reset or an empty read, as chance has it.

    Who closes a connection in which something waits unread resets it; whether the other side
    notices that in sending, in reading or not at all depends on which computer was faster.
    """
    if isinstance(fault, ConnectionError) and not isinstance(fault, ConnectionRefusedError):
        return _HUNG_UP
    return str(fault)


class _Line:
    """A connection from which packets are taken until a moment."""

    def __init__(self, line: socket.socket, end: float) -> None:
        self._line, self._end = line, end
        self._reader, self._packets = PacketReader(limit=1000), list[Packet]()

    def send(self, data: bytes) -> None:
        self._line.settimeout(max(0.01, self._end - time.monotonic()))
        self._line.sendall(data)

    def take(self) -> Packet:
        """Give the next packet.

        Raises:
            ConnectionError: The other side has hung up.
        """
        while not self._packets:
            left = self._end - time.monotonic()
            if left <= 0:
                raise TimeoutError("timed out")
            self._line.settimeout(left)
            data = self._line.recv(4096)
            if not data:
                raise ConnectionError(_HUNG_UP)
            self._packets += self._reader.feed(data)
        return self._packets.pop(0)


def _exchange(line: _Line, address: Address, messages: Mapping[str, bytes]) -> None:
    hello = Connect(f"room-{secrets.token_hex(8)}", user=address.user or None,
                    password=address.password.encode() or None)  # fmt: skip
    line.send(hello.encode())
    answer = line.take()
    if answer.kind != CONNACK or answer.flags or len(answer.body) != 2:
        raise BadPacket("it does not speak MQTT")
    if answer.body[1]:
        _refuse(address, answer.body[1])
    parts = enumerate(messages.items(), 1)
    line.send(b"".join(Publish(name, payload, 1, True, number=n).encode()
                       for n, (name, payload) in parts))  # fmt: skip
    waiting = set(range(1, len(messages) + 1))
    while waiting:
        packet = line.take()
        if packet.kind == PUBACK:
            waiting.discard(int.from_bytes(packet.body[:2], "big"))
    line.send(encode(DISCONNECT))


def _refuse(address: Address, code: int) -> None:
    """Only a broker that has said so refuses a password; one that hangs up has said nothing."""
    if code in (_BAD_PASSWORD, _NOT_ALLOWED):
        raise KitError(
            f"The broker at {address} does not let you in: the password is another one.",
            hint='write it as it stands on the board: join_room("Gull", "192.168.1.5", '
            'password="...").',
        )
    raise KitError(f"The broker at {address} does not let you in (code {code}).",
                   hint="tell your teacher.")  # fmt: skip
