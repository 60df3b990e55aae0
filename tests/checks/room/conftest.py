"""Brokers with a guest, learners' folders, and a screen that is looked at step by step."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from checks.course.seats import kept_access
from checks.room import teller
from checks.room.card import make_card, write_card
from checks.room.screen import Ear, Screen
from robotsim.live.access import OFFICE, Access
from robotsim.live.address import Address
from robotsim.live.office import Office, open_office
from tests.robotsim.radio.real import RealBroker, needed_user, until

TASK = "drive.straight"
NO_PROGRAM = (
    "from checks.room import teller\nteller._LAST_S = 60\n"
    'from checks import check\ncheck("drive.straight")\n'
)
"""A check without a program on the board: the shortest there is.  In a kernel of its own: the end
of that one waits for the last message as long as it takes, however busy this computer is."""
UNTOLD = NO_PROGRAM.split("\n", 2)[2]
"""The same, where nothing is told."""


class Place:
    """A broker of one of two kinds, which can be ended and started again on its port."""

    def __init__(self, folder: Path, mosquitto: str | None, port: int | None = None) -> None:
        self.port = port or RealBroker.free_port()
        self.access: Access = kept_access(folder, self.port, "127.0.0.1")
        self.office: Office | None = None
        self.real: RealBroker | None = None
        if mosquitto:
            lines = (folder / "mosquitto.conf").read_text(encoding="utf-8")
            lines = lines.replace("_file ", f"_file {folder.as_posix()}/") + needed_user()
            self.real = RealBroker(mosquitto, folder, lambda port: lines)
            self.real.port = self.port
        self.start()

    @property
    def address(self) -> str:
        return f"127.0.0.1:{self.port}"

    def start(self) -> None:
        if self.real:
            self.real.start()
        else:
            self.office = open_office(
                port=self.port, password=self.access.password, guest=self.access.guest
            )

    def stop(self) -> None:
        if self.real:
            self.real.stop()
        elif self.office:
            self.office.close()


class Watch:
    """A screen that takes in what has come whenever it is asked."""

    def __init__(self, folder: Path, place: Place) -> None:
        self.screen = Screen(folder, 600.0, time.time())
        self.ear = Ear(Address("127.0.0.1", place.port, OFFICE, place.access.password))

    def until(self, done: Callable[[dict[str, Any]], bool], what: str) -> None:
        """Wait until what is known of the learners, by their names, is as it should be."""

        def is_done() -> bool:
            while not self.ear.heard.empty():
                self.screen.hear(self.ear.heard.get(), time.time())
            room = self.screen.room
            return done({name: room.learners[key] for key, name in room.names().items()})

        until(is_done, what)

    def close(self) -> None:
        self.ear.close()


@pytest.fixture(params=["our broker", "Mosquitto"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    """Each broker in turn."""
    real = request.param == "Mosquitto"
    made = Place(tmp_path / "broker", request.getfixturevalue("mosquitto") if real else None)
    yield made
    made.stop()


@pytest.fixture
def our_place(tmp_path: Path) -> Iterator[Place]:
    """Our broker alone, where the kind makes no difference."""
    made = Place(tmp_path / "broker", None)
    yield made
    made.stop()


@pytest.fixture
def mine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A learner's folder, in which a notebook works that has told nothing yet."""
    folder = tmp_path / "mine"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setattr(teller, "_own", None)
    return folder


def joined(folder: Path, address: str, password: str = "", alias: str = "Gull") -> str:
    """Lay a card for today into a folder, and give its key."""
    card = make_card(alias, address, password, folder)
    write_card(card, folder)
    return card.key


def lines(path: Path) -> list[dict[str, Any]]:
    """Give the entries of a journal."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
