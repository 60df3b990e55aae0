"""A learner's side: opted in and out, told what is told; and a check never notices."""

from __future__ import annotations

import json
import socket
import struct
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from checks import check
from checks.room import card, join, join_room, leave_room, teller
from checks.room.card import CARD, read_card
from checks.room.model import Room
from checks.room.post import post
from checks.room.teller import Teller
from robotsim import KitError
from robotsim.live.address import read_address
from tests.checks.room.conftest import NO_PROGRAM, TASK, UNTOLD, Place, Watch, joined
from tests.robotsim.radio.real import RealBroker, until

SHOWN = (
    "from checks import check\nfrom robotsim.notebook import FLASH\n"
    "FLASH['straight.py'] = 'from machine import Pin\\nPin(25, Pin.OUT).on()\\n'\n"
    "card = check('drive.straight')\nprint(repr(card), card, card._repr_html_())\n"
)


@pytest.fixture
def no_doctor(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """Joining starts no doctor; gives what would have been started."""
    asked: list[list[str]] = []
    monkeypatch.setattr(join, "_start_quietly", asked.append)
    return asked


@pytest.fixture
def silent() -> Iterator[str]:
    """The address of something that takes connections and never says a word."""
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        door.listen(50)
        yield f"127.0.0.1:{door.getsockname()[1]}"


def played(code: str, folder: Path) -> tuple[int, bytes, bytes]:
    """Run a notebook's lines in a kernel of their own; give exit code, output and errors."""
    done = subprocess.run([sys.executable, "-W", "error", "-c", code], cwd=folder,
                          capture_output=True, timeout=120, check=False)  # fmt: skip
    return done.returncode, done.stdout, done.stderr


def test_joining_says_what_is_told_and_looks_at_the_laptop(
    place: Place, mine: Path, no_doctor: list[list[str]], tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    watch = Watch(tmp_path / "room", place)
    join_room("Gull", place.address, password=place.access.guest)
    said = capsys.readouterr().out
    for words in ("alias", "ready", "task", "points", "tries", "cause", "Not told: your name",
                  "leave_room()", "until tonight"):  # fmt: skip
        assert words in said
    watch.until(lambda known: "Gull" in known, "Gull")
    watch.close()
    (command,) = no_doctor
    assert command[-3:] == ["doctor", "--folder", str(mine)]


@pytest.mark.parametrize(
    ("alias", "password", "words"),
    [
        ("Gull", "another", "does not let you in: the password is another one"),
        ("Gull", "", "does not let you in: the password is another one"),
        ("", "", "alias has 1 to 20"),
        ("a gull of many, many words", "", "alias has 1 to 20"),
    ],
)
def test_what_is_wrong_is_told_at_once_and_no_card_is_written(
    place: Place, mine: Path, no_doctor: list[list[str]], alias: str, password: str, words: str
) -> None:
    with pytest.raises(KitError, match=words):
        join_room(alias, place.address, password=password)
    assert not list(mine.iterdir()) and not no_doctor


@pytest.mark.parametrize("address", ["", "mqtt://office", "nobody.invalid", "x" * 300])
def test_an_address_where_nobody_is_is_told(
    mine: Path, no_doctor: list[list[str]], address: str
) -> None:
    with pytest.raises(KitError) as told:
        join_room("Gull", address)
    assert told.value.hint and not list(mine.iterdir())


def test_who_says_nothing_is_waited_for_no_longer_than_was_asked(mine: Path, silent: str) -> None:
    with pytest.raises(KitError, match="does not answer .timed out"):
        post(read_address(silent), {"t": b"x"}, patience_s=0.3)


@contextmanager
def answering(play: Callable[[socket.socket], object]) -> Iterator[str]:
    """The address of something that plays its part with the first who comes, and hangs up."""
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        door.listen()

        def serve() -> None:
            line, _ = door.accept()
            with line, suppress(OSError):
                play(line)

        server = threading.Thread(target=serve)
        server.start()
        yield f"127.0.0.1:{door.getsockname()[1]}"
        server.join()


def reset(line: socket.socket) -> None:
    """Hang up so that the other side is told of a reset, whatever it was about to do."""
    line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))


NO_BROKER: dict[str, Callable[[socket.socket], object]] = {
    "hangs up": lambda line: None,
    "resets": reset,
    "listens and hangs up": lambda line: line.recv(4096),
    "greets": lambda line: line.sendall(b"SSH-2.0-nobody\r\n"),
    "greets and listens": lambda line: (line.sendall(b"SSH-2.0-nobody\r\n"), line.recv(4096)),
    "greets and resets": lambda line: (line.sendall(b"SSH-2.0-nobody\r\n"), reset(line)),
    "answers and hangs up": lambda line: (line.recv(4096), line.sendall(b"HTTP/1.1 400\r\n\r\n")),
    "begins an answer": lambda line: (line.recv(4096), line.sendall(b"\x20\x02\x00")),
    "answers with more": lambda line: (line.recv(4096), line.sendall(b"\x20\x03\0\x04\0")),
    "answers another thing": lambda line: (line.recv(4096), line.sendall(b"\xd0\x00")),
    "takes and hangs up": lambda line: (
        line.recv(4096), line.sendall(b"\x20\x02\0\0"), line.recv(4096)
    ),
}  # fmt: skip
"""Each of the ways in which a race between two computers may end, played on purpose."""


@pytest.mark.parametrize("how", NO_BROKER)
def test_who_speaks_no_mqtt_is_told_so_however_the_race_ends(
    mine: Path, no_doctor: list[list[str]], how: str
) -> None:
    with answering(NO_BROKER[how]) as address, pytest.raises(KitError) as told:
        join_room("Gull", address, password="any")
    assert "does not answer" in told.value.what and "password" not in str(told.value)
    assert not list(mine.iterdir()) and not no_doctor


@pytest.mark.parametrize(
    ("code", "words"),
    [(4, "the password is another one"), (5, "the password is another one"), (3, "code 3")],
)
def test_a_broker_that_says_no_is_quoted(
    mine: Path, no_doctor: list[list[str]], code: int, words: str
) -> None:
    """The codes: MQTT 3.1.1, 3.2.2.3."""
    answer = bytes([0x20, 2, 0, code])
    with (
        answering(lambda line: (line.recv(4096), line.sendall(answer), line.recv(4096))) as address,
        pytest.raises(KitError, match=words),
    ):
        join_room("Gull", address, password="any")
    assert not no_doctor


@pytest.mark.parametrize("how", ["there", "away", "silent", "damaged"])
def test_a_checks_output_is_the_same_to_the_byte_with_a_card_and_without(
    tmp_path: Path, our_place: Place, silent: str, how: str
) -> None:
    alone, told = tmp_path / "alone", tmp_path / "told"
    alone.mkdir()
    told.mkdir()
    away = f"127.0.0.1:{RealBroker.free_port()}"
    address = {"there": our_place.address, "silent": silent}.get(how, away)
    joined(told, address, our_place.access.guest)
    if how == "damaged":
        (told / CARD).write_text("{", encoding="utf-8")
    code, out, errors = played(SHOWN, alone)
    assert (code, errors) == (0, b"") and b"Scorecard" in out
    assert played(SHOWN, told) == (code, out, errors)


def test_the_last_check_of_a_kernel_that_ends_is_told(
    place: Place, mine: Path, tmp_path: Path
) -> None:
    watch = Watch(tmp_path / "room", place)
    joined(mine, place.address, place.access.guest)
    assert played(NO_PROGRAM, mine)[0] == 0
    watch.until(lambda known: TASK in known["Gull"].tasks if known else False, "the check")
    watch.close()


def test_without_a_card_nothing_is_loaded_or_started(mine: Path) -> None:
    code = UNTOLD + (
        "import sys, threading\n"
        "print([n for n in sys.modules if n.startswith('checks.room')], threading.active_count())"
    )
    assert played(code, mine) == (0, b"[] 1\n", b"")


def test_marking_tells_nothing(mine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[object] = []
    monkeypatch.setattr(teller, "tell", told.append)
    joined(mine, "127.0.0.1:1")
    check(TASK, files={})
    assert not told
    check(TASK)
    assert len(told) == 1


def test_a_card_holds_for_the_folders_below_and_for_its_day_only(
    mine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    key = joined(mine, "127.0.0.1:1")
    below = mine / "a" / "b"
    below.mkdir(parents=True)
    card = read_card(below)
    assert card is not None and card.key == key and card.holds
    plain = json.loads((mine / CARD).read_text(encoding="utf-8"))
    (mine / CARD).write_text(json.dumps(plain | {"day": "2001-01-01"}), encoding="utf-8")
    check(TASK)
    assert teller._own is None
    assert joined(mine, "127.0.0.1:1") == key, "the laptop stays the same one"


def test_what_could_not_be_told_is_told_later_and_the_newest_wins(
    place: Place, mine: Path, tmp_path: Path
) -> None:
    joined(mine, place.address, place.access.guest)
    place.stop()
    for _ in range(3):
        check(TASK)
    check("drive.curve")
    place.start()
    watch = Watch(tmp_path / "room", place)
    watch.until(lambda known: bool(known) and len(known["Gull"].tasks) == 2, "both tasks")
    watch.close()
    (gull,) = watch.screen.room.learners.values()
    assert gull.tasks[TASK].tries == 3
    # MQTT delivers at QoS 1 "at least once" (3.1.1, 4.3.2): what comes twice is not counted twice.
    again = Room()
    watch.screen.journal.replay(again)
    assert [one.tasks[TASK].tries for one in again.learners.values()] == [3]


def test_leaving_takes_back_what_was_told(
    place: Place, mine: Path, no_doctor: list[list[str]], tmp_path: Path
) -> None:
    watch = Watch(tmp_path / "room", place)
    join_room("Gull", place.address, password=place.access.guest)
    check(TASK)
    watch.until(lambda known: bool(known) and TASK in known["Gull"].tasks, "the check")
    leave_room()
    watch.until(lambda known: not known, "that Gull has left")
    assert watch.screen.journal.path.read_bytes() == b"" and not list(mine.iterdir())
    check(TASK)
    watch.close()
    late = Watch(tmp_path / "late", place)
    joined(tmp_path, place.address, place.access.guest, "Tern")
    subprocess.run([sys.executable, "-c", NO_PROGRAM], cwd=tmp_path, check=True)
    late.until(lambda known: set(known) == {"Tern"}, "Tern alone")
    late.close()


def test_leaving_while_the_broker_is_away_tells_nothing_more_and_can_be_done_again(
    our_place: Place, mine: Path, no_doctor: list[list[str]], tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    join_room("Gull", our_place.address, password=our_place.access.guest)
    our_place.stop()
    with pytest.raises(KitError, match="could not be taken back") as told:
        leave_room()
    assert "again" in told.value.hint
    check(TASK)
    assert teller._own is None
    our_place.start()
    leave_room()
    leave_room()
    assert capsys.readouterr().out.endswith("taken back.\nYou are not in the room.\n")
    assert not list(mine.iterdir())


def test_a_check_that_is_on_its_way_is_not_told_once_its_learner_has_left(
    mine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    joined(mine, f"127.0.0.1:{RealBroker.free_port()}")
    sent: list[object] = []
    check(TASK)
    own = teller._own
    assert isinstance(own, Teller)
    with own._sending:  # between two tries
        monkeypatch.setattr(card, "post", lambda *told: sent.append(told))
        (mine / CARD).unlink()
    own._news.set()
    until(lambda: not own._unsent, "that it is dropped")
    assert not sent


def test_a_folder_that_may_not_be_written_to_is_told(
    our_place: Place, mine: Path, no_doctor: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("checks.room.card.write_whole", full)
    with pytest.raises(KitError, match="could not be written .No space"):
        join_room("Gull", our_place.address, password=our_place.access.guest)
    assert not no_doctor
