"""The room of a class's server: who tells, the hub says, whatever a message says of itself."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest

from checks.home.pages import home_page
from checks.hub.room import HubRoom
from checks.room.at_hub import AT_HUB, post_at_hub
from checks.room.card import make_card, read_card, write_card
from checks.room.message import READY, BadMessage, Ready, Tried, today, write
from robotsim import KitError

NOON = time.mktime((2026, 3, 2, 12, 0, 0, 0, 0, -1))


def ready(alias: str) -> bytes:
    return write(Ready(alias, today(NOON), ()))


def test_a_seat_stands_under_its_name_at_the_hub_whatever_it_calls_itself(tmp_path: Path) -> None:
    room = HubRoom(tmp_path)
    room.tell("anna", READY, ready("bo"), NOON)
    room.tell("mila", READY, ready("anna"), NOON)
    tried = Tried("bo", today(NOON), "lamps.side", 4.0, 3, 700, None, "0" * 8)
    room.tell("anna", "lamps.side", write(tried), NOON + 1)
    for which in ("", "/large"):
        page = room.page(which, NOON + 2)
        assert "anna" in page and "mila" in page and ">bo<" not in page and "anna 2" not in page
    room.tell("mila", READY, b"", NOON + 3)
    assert "mila" not in room.page("", NOON + 4) and "anna" in room.page("", NOON + 4)


def test_a_desk_that_starts_again_knows_the_day_and_another_day_begins_empty(
    tmp_path: Path,
) -> None:
    HubRoom(tmp_path).tell("anna", READY, ready("x"), NOON)
    again = HubRoom(tmp_path)
    assert "anna" in again.page("", NOON + 60)
    assert "anna" not in again.page("", NOON + 86_400)
    assert sorted(path.name for path in tmp_path.glob("*.jsonl")) == [
        "2026-03-02.jsonl", "2026-03-03.jsonl",
    ]  # fmt: skip


@pytest.mark.parametrize("payload", [b"x", b"[]", b'{"alias": "x"}', b"{" * 9000])
def test_what_is_no_message_is_refused(tmp_path: Path, payload: bytes) -> None:
    with pytest.raises(BadMessage):
        HubRoom(tmp_path).tell("anna", READY, payload, NOON)


def test_a_seats_card_needs_no_address_and_elsewhere_nothing_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_card(make_card("anna", AT_HUB, "", tmp_path), tmp_path)
    card = read_card(tmp_path)
    assert card is not None and card.holds
    assert json.loads((tmp_path / "room.json").read_text(encoding="utf-8"))["password"] == ""
    monkeypatch.delenv("QUAYSIDE_DESK", raising=False)
    with pytest.raises(KitError, match="no seat"):
        card.tell({"harbour/room/x/ready": b""})
    monkeypatch.setenv("QUAYSIDE_DESK", "http://127.0.0.1:9/services/desk")
    monkeypatch.setenv("JUPYTERHUB_API_TOKEN", "token")
    with pytest.raises(KitError, match="cannot be reached"):
        post_at_hub({"harbour/room/x/ready": b""}, 5)


def test_the_home_page_asks_first_and_then_offers_the_way_out() -> None:
    outside, inside = (home_page([], 7, desk=True, in_room=there) for there in (False, True))
    assert "Let my teacher see" in outside and "Not told: your programs" in outside
    assert "Leave the room" in inside and "name='leave'" in inside
    assert "The room" not in home_page([], 7)
