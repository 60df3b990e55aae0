"""Whatever clients of an access list do, in whatever order: nobody hears or says what they may not.

The broker here has no socket, so that thousands of lives of it can be lived; `test_sockets` below
says the same of the real one.
"""

from __future__ import annotations

import socket
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from robotsim.live.access import GUEST, OFFICE
from robotsim.live.office import Office, open_office
from robotsim.radio.packets import Connect, Publish
from robotsim.units import SECOND
from tests.robotsim.live.clients import ACCESS, ADA, Guest
from tests.robotsim.radio.harness import Client, make_broker
from tests.robotsim.radio.real import RealBroker, until
from tests.robotsim.radio.test_packets import streams

WORDS = dict(ACCESS.pairs())
USERS = st.sampled_from(sorted(WORDS))
IDS = st.sampled_from(["tug-12", "tug-13", "x"])
TOPICS = st.sampled_from(
    ["harbour/tug-12/order", "harbour/tug-12/log", "harbour/tug-13/order", "harbour/tug-1/order",
     "harbour/all/news", "harbour/room/k/ready", "harbour/room/k", "harbour/room/k/l/m", "weather",
     "harbour/tug-12", "$SYS/x"]
)  # fmt: skip
FILTERS = TOPICS | st.sampled_from(
    ["#", "harbour/#", "+/+/+", "harbour/+/order", "harbour/tug-12/#", "harbour/all/#",
     "harbour/room/#", "harbour/tug-12/+"]
)  # fmt: skip
MAY_SAY = {
    OFFICE: ("",), "ada": ("harbour/tug-12/",), "ben": ("harbour/tug-13/",),
    GUEST: ("harbour/room/",),
}  # fmt: skip
MAY_HEAR = {
    OFFICE: ("",), "ada": ("harbour/tug-12/", "harbour/all/"),
    "ben": ("harbour/tug-13/", "harbour/all/"), GUEST: (),
}  # fmt: skip
"""Written down a second time, and in another way, so that the test does not ask the code."""


class Class(RuleBasedStateMachine):
    """Four users with a few client ids each; each message says who has published it."""

    @initialize()
    def open(self) -> None:
        self.broker = make_broker(door=ACCESS)
        self.clients: list[tuple[str, Client]] = []
        self.sent = 0
        for user in WORDS:
            self.join(user, "tug-12", True, None, False, True, 0)

    def a_payload(self, user: str) -> bytes:
        self.sent += 1
        return f"{user} {self.sent}".encode()

    def one(self, number: int) -> tuple[str, Client] | None:
        there = [(user, client) for user, client in self.clients if not client.closed]
        return there[number % len(there)] if there else None

    @rule(user=USERS, name=IDS, clean=st.booleans(), will=st.none() | TOPICS,
          retain=st.booleans(), right=st.sampled_from([True, True, True, False]),
          wait=st.sampled_from([0, 4]))  # fmt: skip
    def join(
        self, user: str, name: str, clean: bool, will: str | None, retain: bool, right: bool,
        wait: int,
    ) -> None:  # fmt: skip
        left = will and Publish(will, self.a_payload(user), 1, retain)
        word = WORDS[user] if right or user == "ada" else "a guess"
        before = {id(client) for _, client in self.clients if not client.closed}
        client = Client(self.broker, name, clean=clean, user=user, password=word.encode(),
                        will=left, keep_alive_s=wait)  # fmt: skip
        if word != WORDS[user]:
            assert client.closed
        ended = [u for u, c in self.clients if c.closed and id(c) in before]
        assert set(ended) <= {user} and not (ended and client.closed)
        self.clients.append((user, client))

    @rule(number=st.integers(0, 99), wanted=FILTERS, qos=st.sampled_from([0, 1, 2]))
    def subscribe(self, number: int, wanted: str, qos: int) -> None:
        if found := self.one(number):
            found[1].subscribe(wanted, qos)

    @rule(number=st.integers(0, 99), topic=TOPICS, qos=st.sampled_from([0, 1]),
          retain=st.booleans(), more=st.sampled_from([0, 0, 0, 1500]))  # fmt: skip
    def publish(self, number: int, topic: str, qos: int, retain: bool, more: int) -> None:
        if found := self.one(number):
            user, client = found
            client.publish(topic, self.a_payload(user) + b" " * more, qos, retain)

    @rule(number=st.integers(0, 99), how=st.sampled_from(["goodbye", "vanish", "rubbish"]))
    def leave(self, number: int, how: str) -> None:
        if found := self.one(number):
            client = found[1]
            if how == "goodbye":
                client.goodbye()
            elif how == "vanish":
                client.peer.gone()
            else:
                client.peer.received(b"\xf0\x00")
            assert client.closed

    @rule(number=st.integers(0, 99))
    def acknowledge(self, number: int) -> None:
        if found := self.one(number):
            for message in found[1].messages:
                if message.qos:
                    found[1].acknowledge(message)

    @rule(seconds=st.integers(1, 10))
    def wait(self, seconds: int) -> None:
        agenda = self.broker.agenda  # type: ignore[attr-defined]
        agenda.advance(agenda.now_ns + seconds * SECOND)

    @invariant()
    def nobody_hears_what_they_may_not(self) -> None:
        for user, client in self.clients:
            for message in client.messages:
                teller = message.payload.split()[0].decode()
                # Who may hear all below a topic hears the topic itself (MQTT 3.1.1, 4.7.1.2).
                place = f"{message.topic}/"
                assert any(place.startswith(begin) for begin in MAY_HEAR[user]), message
                assert any(message.topic.startswith(begin) for begin in MAY_SAY[teller]), message

    @invariant()
    def limits_are_kept(self) -> None:
        for message in self.broker.retained:
            teller = message.payload.split()[0].decode()
            assert any(message.topic.startswith(begin) for begin in MAY_SAY[teller]), message
        for user in WORDS:
            limits = ACCESS.limits(user)
            away = [key for key in self.broker.sessions
                    if key[0] == user and key not in self.broker.peers]  # fmt: skip
            assert len(away) <= limits.absent
            assert sum(key[0] == user for key in self.broker.peers) <= limits.connections
        assert {key for key in self.broker.peers} <= self.broker.sessions.keys()
        there = [client for _, client in self.clients if not client.closed]
        assert len(there) == len(self.broker.peers)


def test_whatever_a_class_does_nobody_says_or_hears_what_they_may_not() -> None:
    run_state_machine_as_test(Class, settings=settings(max_examples=80))  # type: ignore[no-untyped-call]


@pytest.mark.long
def test_whatever_a_class_does_for_long_nobody_says_or_hears_what_they_may_not() -> None:
    run_state_machine_as_test(  # type: ignore[no-untyped-call]
        Class, settings=settings(max_examples=600, stateful_step_count=80)
    )


# -- over a real socket ----------------------------------------------------------------------


@pytest.fixture(scope="module")
def office() -> Iterator[Office]:
    """A broker that lives through all of it."""
    made = open_office(port=RealBroker.free_port(), password=ACCESS.password, seats=ACCESS.seats,
                       guest=ACCESS.guest)  # fmt: skip
    yield made
    made.close()


@pytest.fixture(scope="module")
def ada(office: Office) -> Iterator[Guest]:
    """A learner who is there all the time."""
    made = Guest(office.address.port, "ada", ADA.password)
    made.subscribe("harbour/tug-12/#")
    yield made
    made.close()


def a_stranger_sends(office: Office, data: bytes, as_guest: bool) -> None:
    """Send bytes, hang up, and wait until the broker has noticed."""
    before = len(office._house.callers)
    with socket.create_connection(("127.0.0.1", office.address.port), timeout=20) as line:
        hello = Connect("rude", user=GUEST, password=ACCESS.guest.encode()).encode()
        try:
            line.sendall((hello if as_guest else b"") + data)
            line.shutdown(socket.SHUT_WR)
            while line.recv(65_536):
                pass
        except OSError:
            pass  # the broker was faster in hanging up
    until(lambda: len(office._house.callers) <= before, "that the stranger is gone")


def still_works(ada: Guest) -> None:
    before = len(ada.heard)
    ada.publish("harbour/tug-12/log", "still here")
    until(lambda: len(ada.heard) > before, "her own message")
    assert ada.heard[before:] == [("harbour/tug-12/log", b"still here")]


NO_CHECK = list(HealthCheck)


@settings(max_examples=40, suppress_health_check=NO_CHECK)
@given(data=streams(), as_guest=st.booleans())
def test_whatever_a_stranger_sends_a_learner_goes_on(
    office: Office, ada: Guest, data: bytes, as_guest: bool
) -> None:
    a_stranger_sends(office, data, as_guest)
    still_works(ada)


@pytest.mark.long
@settings(max_examples=1500, suppress_health_check=NO_CHECK)
@given(data=streams(), as_guest=st.booleans())
def test_whatever_strangers_send_for_long_a_learner_goes_on(
    office: Office, ada: Guest, data: bytes, as_guest: bool
) -> None:
    a_stranger_sends(office, data, as_guest)
    still_works(ada)
