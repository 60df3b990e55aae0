"""The broker within a notebook: for this computer alone, unless told otherwise."""

from __future__ import annotations

import socket
import sys

import pytest

from robotsim import KitError
from robotsim.live import office as module
from robotsim.live.office import open_office
from robotsim.radio.packets import DISCONNECT, PUBACK, Connect, PacketReader, Publish, encode
from tests.robotsim.radio.real import Office, RealBroker, until


def own_address() -> str | None:
    """Give an address of this computer that is not the loopback, if it has one."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(("192.0.2.1", 9))  # nothing is sent: RFC 5737, for documentation
        except OSError:
            return None
        found = str(asked.getsockname()[0])
    return None if found.startswith("127.") else found


def test_it_listens_on_the_loopback_alone() -> None:
    office = open_office(port=RealBroker.free_port())
    try:
        assert office.address.host == "127.0.0.1" and not office.address.password
        socket.create_connection(("127.0.0.1", office.address.port), timeout=5).close()
        other = own_address()
        if other:
            with pytest.raises(OSError):
                socket.create_connection((other, office.address.port), timeout=5)
    finally:
        office.close()
    assert not office.running
    with pytest.raises(OSError):
        socket.create_connection(("127.0.0.1", office.address.port), timeout=5)


def test_who_lets_others_in_gets_a_password_that_no_text_shows() -> None:
    office = open_office(listen="0.0.0.0", port=RealBroker.free_port())
    try:
        assert office.address.user == "office" and len(office.address.password) == 12
        assert office.address.password not in f"{office!r} {office.address!r}"
        assert "a password" in repr(office)
    finally:
        office.close()


def test_one_call_more_gives_the_same_one() -> None:
    first = open_office(port=RealBroker.free_port())
    try:
        assert open_office() is first
    finally:
        first.close()


def test_what_was_acknowledged_is_not_lost_when_its_sender_says_goodbye_at_once() -> None:
    office = open_office(port=RealBroker.free_port())
    heard = Office(office.address.port, ["harbour/#", "nothing"])
    try:
        with socket.create_connection(("127.0.0.1", office.address.port), timeout=20) as line:
            many = b"".join(
                Publish(f"harbour/{n}", b"told", 1, number=n).encode() for n in range(1, 201)
            )
            line.sendall(Connect("hasty").encode() + many)
            reader, acknowledged = PacketReader(), 0
            while acknowledged < 200:
                kinds = [packet.kind for packet in reader.feed(line.recv(4096))]
                acknowledged += kinds.count(PUBACK)
            line.sendall(encode(DISCONNECT))
        until(lambda: len(heard.heard) == 200, "all that was acknowledged")
    finally:
        heard.close()
        office.close()


def test_a_port_that_is_taken_and_an_address_that_is_none_are_told() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(KitError, match="could not listen"):
            open_office(port=taken.getsockname()[1])
    with pytest.raises(KitError, match="has no address"):
        open_office(listen="192.0.2.1")


def test_without_its_package_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "amqtt", None)
    monkeypatch.setattr(module, "_OPEN", [])
    with pytest.raises(KitError, match="amqtt, which is not installed") as told:
        open_office()
    assert "broker=None" in told.value.hint
