"""Strangers at the broker: what they may not do, they can do by no way round, and fill no memory.

Each of these was done to the broker of a class.  Where Mosquitto has the same promise it is held to
it by the same test, with the files that `mosquitto_files` writes.
"""

from __future__ import annotations

import socket
from collections.abc import Iterator
from dataclasses import replace

import pytest

from checks import TASKS
from checks.room.message import READY, Ready, Tried, topic, write
from checks.room.model import MOST_LEARNERS
from robotsim.live import house as module
from robotsim.live import live
from robotsim.live.access import GUEST, OFFICE, Access, Seat
from robotsim.live.office import Office, open_office
from robotsim.radio.packets import (
    CONNACK,
    PINGREQ,
    SUBSCRIBE,
    Connect,
    Packet,
    PacketReader,
    Publish,
    encode,
    write_length,
)
from tests.robotsim.live.clients import ACCESS, ADA, Guest
from tests.robotsim.radio.harness import Client, make_broker
from tests.robotsim.radio.real import RealBroker, until

GO = '{"speed": 0.3, "seconds": 60}'


@pytest.fixture
def office() -> Iterator[Office]:
    """Our broker, with two seats and a guest."""
    made = open_office(port=RealBroker.free_port(), password=ACCESS.password, seats=ACCESS.seats,
                       guest=ACCESS.guest)  # fmt: skip
    yield made
    made.close()


class Raw:
    """A connection without manners."""

    def __init__(self, port: int, hello: Connect | None = None, code: int = 0) -> None:
        self.line = socket.create_connection(("127.0.0.1", port), timeout=20)
        self._reader, self.got = PacketReader(), list[Packet]()
        if hello:
            self.line.sendall(hello.encode())
            self.until(lambda: bool(self.got))
            assert self.got.pop(0) == (CONNACK, 0, bytes([0, code]))

    def until(self, done: object) -> None:
        while not done():  # type: ignore[operator]
            data = self.line.recv(65536)
            assert data, "the broker has hung up"
            self.got += self._reader.feed(data)

    def is_hung_up(self) -> bool:
        """Wait until the broker hangs up; what it still says goes by."""
        try:
            while self.line.recv(65536):
                pass
        except ConnectionError:
            pass
        self.line.close()
        return True


def hello(user: str, word: str, client: str = "x", **other: object) -> Connect:
    return Connect(client, user=user, password=word.encode(), **other)  # type: ignore[arg-type]


AS_GUEST = hello(GUEST, ACCESS.guest)


def leave(port: int, user: str, name: str, will: str, retain: bool = False) -> None:
    """Join with a will, if that is let in at all, and go without a goodbye."""
    word = dict(ACCESS.pairs())[user]
    raw = Raw(port)
    with raw.line:
        will_set = Publish(name, will.encode(), 1, retain)
        raw.line.sendall(hello(user, word, f"{user}-{name}", will=will_set).encode())
        raw.until(lambda: bool(raw.got))
        assert raw.got[0].kind == CONNACK


# -- the last will -----------------------------------------------------------------------------


@pytest.mark.parametrize("retain", [False, True])
def test_a_last_will_goes_no_further_than_its_owner_may(port: int, retain: bool) -> None:
    office = Guest(port, OFFICE, ACCESS.password)
    office.subscribe("harbour/#")
    for name in ("harbour/tug-12/order", "harbour/all/news", "harbour/tug-13/log"):
        leave(port, GUEST, name, GO, retain)
    for name in ("harbour/tug-13/order", "harbour/all/news"):
        leave(port, "ada", name, GO, retain)
    leave(port, "ada", "harbour/tug-12/log", "ada's own")
    leave(port, GUEST, "harbour/room/1/ready", "last")
    until(lambda: {p for _, p in office.heard} >= {b"last", b"ada's own"}, "the wills that may be")
    late = Guest(port, OFFICE, ACCESS.password)
    late.subscribe("harbour/#")
    late.publish("harbour/all/end", "end")
    until(lambda: b"end" in [p for _, p in late.heard], "the end")
    for one in (office, late):
        one.close()
    assert GO.encode() not in {payload for _, payload in (*office.heard, *late.heard)}


def test_who_leaves_a_will_that_may_not_be_is_told_so_when_they_join(office: Office) -> None:
    """MQTT 3.1.1, 3.2.2.3: code 5, not authorised."""
    will = Publish("harbour/tug-12/order", GO.encode())
    assert Raw(office.address.port, replace(AS_GUEST, will=will), code=5).is_hung_up()


def test_a_will_drives_no_live_tug(office: Office) -> None:
    address = office.address
    tug = live(broker=str(address), user=OFFICE, password=address.password, serial=12, pad=False)
    try:
        until(lambda: any(b'"joined"' in payload(e.hex) for e in tug.happened
                          if e.kind == "message"), "the tug")  # fmt: skip
        before = tug.look.pose
        order = "harbour/tug-12/order"
        leave(address.port, GUEST, order, GO, retain=True)
        leave(address.port, "ben", order, GO, retain=True)
        tug.order({"lamps": [9, 9, 9]})
        until(lambda: tug.look.lamps[0] == (9, 9, 9), "an order that may be")
        assert tug.look.pose == before
        sent = [payload(e.hex) for e in tug.happened if e.kind == "message" and e.stage == "order"]
        assert sent == [b'{"lamps": [9, 9, 9]}']
    finally:
        tug.stop()


def payload(text: str) -> bytes:
    return bytes.fromhex(text)


# -- another's client id -----------------------------------------------------------------------


def test_under_a_learners_client_id_a_guest_hears_nothing_of_hers(port: int) -> None:
    ada = Guest(port, "ada", ADA.password, client_id="tug-12", clean=False)
    assert ada.subscribe("harbour/tug-12/order") < 128
    ada.close()
    thief = Guest(port, GUEST, ACCESS.guest, client_id="tug-12", clean=False)
    office = Guest(port, OFFICE, ACCESS.password)
    office.subscribe("harbour/#")
    office.publish("harbour/tug-12/order", "for ada")
    thief.publish("harbour/room/1/ready", "a round trip more")
    until(lambda: len(office.heard) == 2, "both")
    assert not thief.heard
    for one in (office, thief):
        one.close()
    Guest(port, "ada", ADA.password, client_id="tug-12").close()


def test_under_a_learners_client_id_a_guest_takes_nothing_from_her_either(office: Office) -> None:
    port = office.address.port
    ada = Guest(port, "ada", ADA.password, client_id="tug-12", clean=False)
    ada.subscribe("harbour/tug-12/order")
    thief = Guest(port, GUEST, ACCESS.guest, client_id="tug-12", clean=True)
    leader = Guest(port, OFFICE, ACCESS.password)
    leader.publish("harbour/tug-12/order", "one")
    until(lambda: bool(ada.heard), "the order, on the connection that she has")
    ada.close()
    leader.publish("harbour/tug-12/order", "two")
    again = Guest(port, "ada", ADA.password, client_id="tug-12", clean=False)
    until(lambda: bool(again.heard), "what came while she was away")
    assert (ada.heard + again.heard) == [("harbour/tug-12/order", b) for b in (b"one", b"two")]
    for one in (thief, leader, again):
        one.close()


def test_whoever_does_not_know_the_password_ends_nobodys_connection(office: Office) -> None:
    port = office.address.port
    ada = Guest(port, "ada", ADA.password, client_id="tug-12")
    ada.subscribe("harbour/tug-12/order")
    stranger = Guest(port, "ada", "a guess", client_id="tug-12")
    assert stranger.refused
    ada.publish("harbour/tug-12/order", "still here")
    until(lambda: bool(ada.heard), "her own order")
    for one in (ada, stranger):
        one.close()


# -- size and number ---------------------------------------------------------------------------


@pytest.mark.parametrize("who", ["nobody", "guest"])
def test_two_hundred_megabytes_are_refused_by_their_first_five_bytes(port: int, who: str) -> None:
    """The message itself is never sent: whoever waited for it would have to make room for it."""
    raw = Raw(port, AS_GUEST if who == "guest" else None)
    head = b"\x30" if who == "guest" else b"\x10"
    raw.line.sendall(head + write_length(200_000_000) + b"\x00\x14harbour/room/1/ready")
    assert raw.is_hung_up()


def test_what_a_guest_may_leave_behind_has_an_end(office: Office) -> None:
    limits = office.access.limits(GUEST)
    raw = Raw(office.address.port, AS_GUEST)
    shelf = office._house.broker.retained
    for start in range(0, limits.retained + 1500, 500):
        raw.line.sendall(b"".join(
            Publish(f"harbour/room/{n}/ready", bytes(limits.message), 1, True, number=1).encode()
            for n in range(start, start + 500)
        ))  # fmt: skip
        raw.until(lambda: len(raw.got) >= 500)
        del raw.got[:500]
    kept = sum(len(message.topic) + len(message.payload) for message in shelf)
    assert len(shelf) <= limits.retained
    assert limits.retained_bytes - 2 * limits.message < kept <= limits.retained_bytes
    leader = Guest(office.address.port, OFFICE, ACCESS.password)
    leader.client.publish("harbour/all/news", "kept", 1, retain=True).wait_for_publish(20)
    assert [m.payload for m in shelf if m.topic == "harbour/all/news"] == [b"kept"]
    leader.close()
    raw.line.close()


def test_a_room_that_is_full_of_the_longest_messages_is_within_the_guests_limits() -> None:
    alias, day, limits = "\N{SAILBOAT}" * 20, "2026-01-05", ACCESS.limits(GUEST)
    told = {READY: write(Ready(alias, day, ()))}
    for task in TASKS.values():
        cause = max((mistake.name for mistake in task.mistakes), key=len, default=None)
        told[task.id] = write(Tried(alias, day, task.id, 3.25, 9999, 86_400, cause, "0" * 8))
    one = sum(len(topic("0" * 16, what)) + len(text) for what, text in told.items())
    assert MOST_LEARNERS * one <= limits.retained_bytes
    assert MOST_LEARNERS * len(told) <= limits.retained
    assert max(map(len, told.values())) <= limits.message
    assert MOST_LEARNERS <= limits.connections
    assert limits.retained <= ACCESS.limits(OFFICE).waiting, "a screen that starts late hears all"


def test_a_client_that_does_not_read_holds_a_bounded_number_of_bytes(office: Office) -> None:
    port = office.address.port
    deaf, loud = (Raw(port, hello("ada", ADA.password, name)) for name in ("deaf", "loud"))
    wanted = b"harbour/tug-12/#"
    deaf.line.sendall(encode(SUBSCRIBE, b"\0\1" + len(wanted).to_bytes(2, "big") + wanted + b"\0"))
    deaf.until(lambda: bool(deaf.got))
    size = 10_000
    message = Publish("harbour/tug-12/log", bytes(size)).encode()

    def ping() -> None:
        loud.line.sendall(encode(PINGREQ))
        before = len(loud.got)
        loud.until(lambda: len(loud.got) > before)

    def behind() -> int:
        return max(c._transport.get_write_buffer_size() for c in list(office._house.callers))

    rounds = 0
    while behind() <= module._BEHIND:  # what the system itself takes for it comes first
        loud.line.sendall(message * 20)
        ping()
        rounds += 1
        assert rounds < 10_000
    for _ in range(20):
        loud.line.sendall(message * 20)
        ping()
    assert behind() <= module._BEHIND + 2 * size
    for raw in (deaf, loud):
        raw.line.close()


def test_however_many_strangers_stand_at_the_door_a_learner_comes_in(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "CALLERS", 20)
    port = office.address.port
    ada = Guest(port, "ada", ADA.password)
    crowd = [Raw(port) for _ in range(60)]
    ben = Guest(port, "ben", ACCESS.seats[1].password)
    assert not ben.refused and len(office._house.callers) <= 20
    ada.publish("harbour/tug-12/log", "still here")
    for one in (ada, ben):
        one.close()
    for raw in crowd:
        raw.line.close()


ONE = Seat("ada", 12, "y")


class Small(Access):
    """An access list with limits that a test reaches."""

    def limits(self, user: str | None):  # type: ignore[no-untyped-def]  # noqa: ANN201
        few = {"connections": 2, "absent": 1, "filters": 2, "retained": 2, "text": 30}
        return replace(super().limits(user), **few)


def joined(broker: object, client: str, **other: object) -> Client:
    return Client(broker, client, user="ada", password=b"y", **other)  # type: ignore[arg-type]


def test_connections_subscriptions_and_sessions_that_are_left_behind_have_an_end() -> None:
    broker = make_broker(door=Small("x", (ONE,), "z"))
    first, second, third = (joined(broker, name, clean=False) for name in "abc")
    assert not first.closed and not second.closed and third.answer == b"\0\x03"
    assert not joined(broker, "a", clean=False).closed, "a client that comes back is no third one"
    filters = [f"harbour/tug-12/{n}" for n in range(3)]
    assert [second.subscribe(name) for name in filters] == [0, 0, 128]
    assert second.subscribe(filters[0]) == 0, "once more is no more"
    assert second.subscribe("harbour/all/" + "x" * 40) == 128
    for key in list(broker.peers):
        broker.peers[key].gone()
    assert len(broker.sessions) == 1
    assert joined(broker, "x" * 31).answer == b"\0\x02"


def test_what_is_retained_is_on_the_account_of_its_user_and_can_be_taken_back() -> None:
    broker = make_broker(door=Small("x", (ONE,), "z"))
    ada = joined(broker, "a")
    for n in range(3):
        ada.publish(f"harbour/tug-12/{n}", b"kept", retain=True)
    assert [m.topic[-1] for m in broker.retained] == ["0", "1"]
    ada.publish("harbour/tug-12/0", b"", retain=True)
    ada.publish("harbour/tug-12/2", b"kept", retain=True)
    assert [m.topic[-1] for m in broker.retained] == ["1", "2"]
    office = Client(broker, "o", user=OFFICE, password=b"x")
    office.publish("harbour/tug-12/1", b"the office's", retain=True)
    ada.publish("harbour/tug-12/4", b"kept", retain=True)
    assert [m.topic[-1] for m in broker.retained] == ["1", "2", "4"]


def test_queues_of_those_who_are_away_have_an_end_in_bytes() -> None:
    broker = make_broker(waiting_bytes=1000)
    Client(broker, "a", clean=False).subscribe("t", 1)
    broker.peers["", "a"].gone()
    for n in range(10):
        broker.publish(Publish("t", bytes([n]) * 199, 1))
    again = Client(broker, "a", clean=False)
    assert [m.payload[0] for m in again.messages] == [0, 1, 2, 3, 4]
    for message in again.messages:
        again.acknowledge(message)
    broker.publish(Publish("t", bytes(199), 1))
    assert len(again.messages) == 6, "what was read makes room"
