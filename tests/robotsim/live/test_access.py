"""Each learner reaches their own tug and no other: in our broker and in a real Mosquitto alike."""

from __future__ import annotations

import pytest

from robotsim import KitError
from robotsim.live.access import GUEST, Access, Seat, make_password, mosquitto_files
from tests.robotsim.live.clients import ACCESS, ADA, BEN, Guest
from tests.robotsim.radio.real import until


@pytest.mark.parametrize(
    ("user", "password"),
    [
        (None, None),
        ("ada", "ben's word"),
        ("ada", ""),
        ("eve", "ada's word"),
        ("office", "x"),
        (GUEST, "ada's word"),
        (GUEST, ""),
        ("office", "the guest's word"),
    ],
)
def test_who_has_no_seat_stays_outside(port: int, user: str | None, password: str | None) -> None:
    guest = Guest(port, user, password)
    guest.close()
    assert guest.refused


def test_a_learner_reaches_their_own_tug_and_no_other(port: int) -> None:
    office = Guest(port, "office", ACCESS.password)
    office.subscribe("harbour/#")
    ada, ben = Guest(port, "ada", ADA.password), Guest(port, "ben", BEN.password)
    assert ben.subscribe("harbour/tug-13/order") < 128
    ada.publish("harbour/tug-13/order", "from ada")
    ada.publish("harbour/tug-12/order", "my own")
    ada.publish("harbour/all/news", "not hers to tell")
    ada.publish("weather", "nor this")
    ada.publish("harbour/tug-12/log", "the end")
    office.publish("harbour/tug-13/order", "from the office")
    until(lambda: len(office.heard) >= 3, "what is allowed")
    until(lambda: bool(ben.heard), "the office's order")
    for guest in (office, ada, ben):
        guest.close()
    assert [payload for _, payload in office.heard] == [b"my own", b"the end", b"from the office"]
    assert ben.heard == [("harbour/tug-13/order", b"from the office")]


def test_a_learner_hears_of_no_other_tug(port: int) -> None:
    ada, office = Guest(port, "ada", ADA.password), Guest(port, "office", ACCESS.password)
    for wanted in ("harbour/tug-13/log", "harbour/+/log", "harbour/#", "#"):
        ada.subscribe(wanted)
    ada.subscribe("harbour/tug-12/log")
    office.publish("harbour/tug-13/log", "not for ada")
    office.publish("harbour/tug-12/log", "for ada")
    until(lambda: bool(ada.heard), "what is hers")
    for guest in (ada, office):
        guest.close()
    assert ada.heard == [("harbour/tug-12/log", b"for ada")]


def test_what_is_retained_reaches_those_alone_who_may_hear_it(port: int) -> None:
    office = Guest(port, "office", ACCESS.password)
    office.subscribe("harbour/#")
    for topic in ("harbour/tug-12/log", "harbour/tug-13/log", "harbour/room/1/ready"):
        office.client.publish(topic, "kept", 1, retain=True).wait_for_publish(20)
    until(lambda: len(office.heard) == 3, "that the broker has them")
    ada, guest = Guest(port, "ada", ADA.password), Guest(port, GUEST, ACCESS.guest)
    ada.subscribe("harbour/tug-13/log")
    guest.subscribe("harbour/room/1/ready")
    ada.subscribe("harbour/tug-12/log")
    until(lambda: bool(ada.heard), "what is hers")
    guest.publish("harbour/room/2/ready", "a round trip more")
    for topic in ("harbour/tug-12/log", "harbour/tug-13/log", "harbour/room/1/ready"):
        office.client.publish(topic, b"", 1, retain=True).wait_for_publish(20)
    for one in (office, ada, guest):
        one.close()
    assert ada.heard[0] == ("harbour/tug-12/log", b"kept")
    assert {topic for topic, _ in ada.heard} == {"harbour/tug-12/log"} and not guest.heard


def test_a_guest_tells_the_room_and_nobody_else_and_hears_nothing(port: int) -> None:
    office, guest = Guest(port, "office", ACCESS.password), Guest(port, GUEST, ACCESS.guest)
    office.subscribe("harbour/#")
    for wanted in ("harbour/room/#", "harbour/room/1/ready", "harbour/all/news", "#"):
        guest.subscribe(wanted)
    for topic in ("harbour/tug-12/order", "harbour/all/news", "harbour/room", "harbour/room/x"):
        guest.client.publish(topic, "not the guest's to tell", 1)
    guest.publish("harbour/room/1/ready", "told")
    until(lambda: bool(office.heard), "what the guest tells")
    office.publish("harbour/room/1/ready", "for whom it may concern")
    office.publish("harbour/all/news", "likewise")
    until(lambda: len(office.heard) >= 3, "the office's own")
    for one in (office, guest):
        one.close()
    assert office.heard[0] == ("harbour/room/1/ready", b"told") and len(office.heard) == 3
    assert not guest.heard


def test_a_prefix_of_a_tugs_name_opens_nothing() -> None:
    access = Access("x", (Seat("ada", 1, "y"),))
    assert access.allows("ada", "harbour/tug-1/order", publish=True)
    for topic in ("harbour/tug-12/order", "harbour/tug-1", "harbour/+/order", "harbour/tug-1x/a"):
        assert not access.allows("ada", topic, publish=True), topic
    assert access.allows("ada", "harbour/all/news", publish=False)
    assert not access.allows("ada", "harbour/all/news", publish=True)
    assert not access.allows("eve", "harbour/tug-1/order", publish=True)


def test_a_guest_without_the_others_passwords_and_one_whose_name_is_taken_are_refused() -> None:
    with pytest.raises(KitError, match="the office too"):
        Access("", (), "y")
    with pytest.raises(KitError, match="Two users have the name 'guest'"):
        Access("x", (Seat(GUEST, 1, "y"),), "z")
    assert Access("x", (Seat(GUEST, 1, "y"),)).admits(GUEST, "y")  # where there is no room
    assert not Access("x").admits(GUEST, "")


@pytest.mark.parametrize(
    ("password", "seats"),
    [
        ("x", (ADA, ADA)),
        ("x", (Seat("office", 1, "y"),)),
        ("x", (Seat("a:b", 1, "y"),)),
        ("x", (Seat("a\nuser office", 1, "y"),)),
        ("x", (Seat("ada", 1, ""),)),
        ("", (ADA,)),
    ],
)
def test_a_list_that_leaves_a_door_open_is_refused(password: str, seats: tuple[Seat, ...]) -> None:
    with pytest.raises(KitError):
        Access(password, seats)


def test_files_for_mosquitto_hold_no_password_in_plain_text() -> None:
    files = mosquitto_files(ACCESS, 1883, "0.0.0.0")
    assert not [w for w in ("word", "office's") for text in files.values() if w in text.split(":")]
    assert all(seat.password not in text for seat in (ADA, BEN) for text in files.values())
    with pytest.raises(KitError, match="need a password"):
        mosquitto_files(Access(), 1883, "0.0.0.0")


def test_passwords_differ_and_are_long_enough_to_guess_in_vain() -> None:
    made = {make_password() for _ in range(100)}
    assert len(made) == 100
    assert {len(word) for word in made} == {12}
