"""The broker within a notebook: for this computer alone, and not for everybody at it."""

from __future__ import annotations

import gc
import socket

import pytest

from robotsim import KitError
from robotsim.live import live
from robotsim.live.office import open_office
from robotsim.radio.packets import DISCONNECT, PUBACK, Connect, PacketReader, Publish, encode
from tests.robotsim.live.clients import Guest
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
        assert office.address.host == "127.0.0.1"
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


@pytest.mark.parametrize("listen", ["127.0.0.1", "0.0.0.0"])
def test_it_asks_for_a_password_that_is_told_to_whoever_opened_it_and_stands_nowhere_else(
    listen: str, capsys: pytest.CaptureFixture[str]
) -> None:
    office = open_office(listen=listen, port=RealBroker.free_port())
    try:
        password = office.address.password
        assert office.address.user == "office" and len(password) == 8
        said = capsys.readouterr().out
        assert f"asks for user office, password {password}." in said
        assert password not in f"{office!r} {office.address!r}"
        for user, word in ((None, None), ("office", None), ("office", "another"), ("", "")):
            stranger = Guest(office.address.port, user, word)
            stranger.close()
            assert stranger.refused
    finally:
        office.close()


def test_a_password_of_ones_own_is_not_shown(capsys: pytest.CaptureFixture[str]) -> None:
    office = open_office(port=RealBroker.free_port(), password="a word of my own")
    office.close()
    assert not capsys.readouterr().out


def test_one_call_more_gives_the_same_one_and_tells_its_password_again(
    capsys: pytest.CaptureFixture[str],
) -> None:
    first = open_office(port=RealBroker.free_port())
    try:
        capsys.readouterr()
        assert open_office() is first
        assert first.address.password in capsys.readouterr().out
    finally:
        first.close()


def test_a_tug_of_ones_own_knows_the_password_and_its_cell_tells_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    tug = live(broker="own", serial=8, pad=False)
    try:
        assert tug.bridge is not None and tug.bridge.up
        password = tug.bridge.address.password
        assert f"user office, password {password}." in capsys.readouterr().out
    finally:
        tug.stop()
        open_office().close()


def test_what_was_acknowledged_is_not_lost_when_its_sender_says_goodbye_at_once() -> None:
    office = open_office(port=RealBroker.free_port())
    word = office.address.password
    hello = Connect("hasty", user="office", password=word.encode())
    heard = Office(office.address.port, ["harbour/#", "nothing"], word)
    try:
        with socket.create_connection(("127.0.0.1", office.address.port), timeout=20) as line:
            many = b"".join(
                Publish(f"harbour/{n}", b"told", 1, number=n).encode() for n in range(1, 201)
            )
            line.sendall(hello.encode() + many)
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


def test_who_comes_in_while_it_closes_is_let_go() -> None:
    """Their sockets were lost hold of; a lost one is an error in these tests."""
    for _ in range(5):
        office = open_office(port=RealBroker.free_port())
        place = ("127.0.0.1", office.address.port)
        guests = [socket.create_connection(place, timeout=5) for _ in range(5)]
        office.close()
        gc.collect()
        for guest in guests:
            guest.close()
