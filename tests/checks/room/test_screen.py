"""From a laptop to the teacher's page, and what the screen forgets and does not forget."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

import paho.mqtt.client as paho
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checks.commands import main
from checks.course.seats import SEATS, kept_access
from checks.room.message import READY, topic
from checks.room.screen import Heard, Screen, lan_address
from robotsim.live.access import GUEST
from robotsim.radio import PORT
from tests.checks.room.classes import NOON, key, ready, tried
from tests.checks.room.conftest import NO_PROGRAM, TASK, Place, Watch, joined, lines
from tests.robotsim.radio.real import RealBroker, until


@contextmanager
def running(folder: Path, *more: str) -> Iterator[subprocess.Popen[str]]:
    """Start a teacher's screen; what it says goes into a file beside the folder."""
    said = folder.with_suffix(".log")
    folder.mkdir(exist_ok=True)
    with said.open("w") as out:
        process = subprocess.Popen(
            [sys.executable, "-u", "-m", "checks", "room", str(folder), "--no-browser", *more],
            stdout=out, stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip
    try:
        until(lambda: "The page:" in said.read_text() or process.poll() is not None, "a screen")
        yield process
    finally:
        process.kill()
        process.wait()


def shown(folder: Path) -> str:
    page = folder / "room" / "room.html"
    return page.read_text(encoding="utf-8") if page.is_file() else ""


def rows(folder: Path) -> dict[str, str]:
    """Give what the page says of each learner: name to last task."""
    found = re.findall(r"<th scope='row'>(.*?)</th><td.*?</td><td>(.*?)</td>", shown(folder))
    return dict(found)


def learn(folder: Path, *commands: str) -> None:
    """Run lines as a learner in a folder."""
    folder.mkdir(exist_ok=True)
    subprocess.run([sys.executable, "-c", "\n".join(commands)], cwd=folder, check=True,
                   stdout=subprocess.DEVNULL)  # fmt: skip


def test_a_class_day_with_the_broker_that_the_screen_starts(tmp_path: Path) -> None:
    teacher, port = tmp_path / "teacher", RealBroker.free_port()
    with running(teacher, "--port", str(port)) as screen:
        said = teacher.with_suffix(".log").read_text()
        password = re.findall(r'join_room\("ALIAS", ".*", password="(\w+)"\)', said)[0]
        assert f"--alias ALIAS --password {password}" in said
        join = f'join_room("Gull", "127.0.0.1:{port}", password="{password}")'
        join = f"from checks.room import *; {join}"
        learn(tmp_path / "one", join, NO_PROGRAM)
        learn(tmp_path / "two", join)
        until(lambda: rows(teacher) == {"Gull": TASK, "Gull 2": "–"}, "two Gulls on the page")
        until(lambda: shown(teacher).count("'> ready<") == 2, "what both doctors found")
        screen.kill()
        screen.wait()
    learn(tmp_path / "two", NO_PROGRAM)
    with running(teacher, "--port", str(port)) as screen:
        said = teacher.with_suffix(".log").read_text()
        assert password in said, "the same as before"
        assert rows(teacher) == {"Gull": TASK, "Gull 2": "–"}, "nothing is forgotten"
        learn(tmp_path / "one", "from checks.room import *; leave_room()")
        until(lambda: set(rows(teacher)) == {"Gull"}, "that one has left")
        (journal,) = (teacher / "room").glob("*.jsonl")
        assert len({line["key"] for line in lines(journal)}) == 1
        if os.name == "posix":
            screen.send_signal(signal.SIGINT)
            assert screen.wait(180) == 0
            said = teacher.with_suffix(".log").read_text()
            assert f"The journal: {journal}" in said and "Traceback" not in said
            assert "Ended at" in shown(teacher) and "refresh" not in shown(teacher)


def test_a_folder_has_one_room_at_a_time_and_a_killed_one_is_no_hindrance(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    teacher, port = tmp_path / "teacher", RealBroker.free_port()
    with running(teacher, "--port", str(port)) as screen:
        page, journals = shown(teacher), sorted((teacher / "room").glob("*.jsonl"))
        assert main(["room", str(teacher), "--no-browser"]) == 1
        said = capsys.readouterr().err
        assert re.search(rf"A room of this folder is open already, at [\d.]+:{port}\.", said)
        assert "end it with Ctrl-C" in said
        assert page and sorted((teacher / "room").glob("*.jsonl")) == journals
        screen.kill()
        screen.wait()
    with running(teacher, "--port", str(port)):
        assert "The page:" in teacher.with_suffix(".log").read_text()


def test_a_class_with_a_mosquitto_of_its_own(tmp_path: Path, mosquitto: str) -> None:
    teacher = tmp_path / "teacher"
    teacher.mkdir()
    (teacher / "roster.csv").write_text("id,name,serial\nada,Ada,3\n", encoding="utf-8")
    port = RealBroker.free_port()
    assert main(["seats", str(teacher), "--port", str(port)]) == 0
    place = Place(teacher / "broker", mosquitto, port)
    joined(tmp_path, place.address, place.access.guest)
    learn(tmp_path, NO_PROGRAM)
    try:
        with running(teacher, "--broker", place.address):
            until(lambda: rows(teacher) == {"Gull": TASK}, "what was told before it was started")
            place.stop()
            until(lambda: "The broker is away since" in shown(teacher), "that it is away")
            place.start()
            until(lambda: "The broker is away" not in shown(teacher), "that it is back")
            joined(tmp_path, place.address, place.access.guest, "Tern")
            learn(tmp_path, NO_PROGRAM.replace("straight", "curve"))
            until(lambda: rows(teacher) == {"Tern": "drive.curve"}, "what is new")
    finally:
        place.stop()


def test_what_a_guest_tells_beside_the_rules_is_counted_and_not_shown(
    place: Place, tmp_path: Path
) -> None:
    watch = Watch(tmp_path / "room", place)
    guest = paho.Client(paho.CallbackAPIVersion.VERSION2)
    guest.username_pw_set(GUEST, place.access.guest)
    guest.connect("127.0.0.1", place.port)
    guest.loop_start()
    for name, payload in (
        ("harbour/room/eve/ready", ready()), (topic(key(1), "drive.sail"), tried()),
        (topic(key(1), READY), b"x" * 1000), (topic(key(1), READY), ready(name="Ada")),
        (topic(key(1), READY), ready("Tern")),
    ):  # fmt: skip
        guest.publish(name, payload, 1).wait_for_publish(20)
    watch.until(lambda known: set(known) == {"Tern"}, "what is right")
    guest.disconnect()
    guest.loop_stop()
    watch.close()
    assert watch.screen.room.refused == {
        "no key": 1, "unknown task": 1, "too long": 1, "other fields": 1,
    }  # fmt: skip
    watch.screen.write(NOON)
    assert "Messages that were refused: " in watch.screen.page.read_text(encoding="utf-8")
    assert "Messages that were refused: " in watch.screen.large.read_text(encoding="utf-8")


def told(number: int, what: str, payload: bytes) -> Heard:
    return Heard(topic(key(number), what), payload, False)


def test_minutes_stuck_are_not_forgotten_when_the_screen_starts_anew(tmp_path: Path) -> None:
    first = Screen(tmp_path, 600.0, NOON)
    first.hear(told(1, TASK, tried(tries=3)), NOON)
    again = Screen(tmp_path, 600.0, NOON + 800)
    again.write(NOON + 840)
    assert f"{TASK} for 14 minutes, 3 tries" in again.page.read_text(encoding="utf-8")


spoilt = st.builds(
    lambda text, place, new: text[: place % (len(text) + 1)] + new + text[place % len(text) :],
    st.sampled_from([ready(), tried(), tried(tries=4, points=2.5)]), st.integers(0, 300),
    st.binary(max_size=3),
)  # fmt: skip
heard = st.lists(
    st.tuples(
        st.integers(1, 4).map(key) | st.text(max_size=5),
        st.sampled_from([READY, TASK, "drive.curve", "x"]),
        st.sampled_from([b"", ready(), ready("Tern", ["kernel"]), ready(lacking=None)])
        | st.builds(tried, st.sampled_from(["Gull", "Möwe 🐦"]), st.integers(-1, 11),
                    st.integers(0, 9), run=st.sampled_from(["0000000a", "0000000b"]))
        | spoilt | st.binary(max_size=700),
        st.integers(0, 40), st.booleans(),  # a journal keeps tenths of a second
    ), max_size=25,
)  # fmt: skip
Story = list[tuple[str, str, bytes, int, bool]]


def whatever_is_told_the_page_shows_and_a_new_start_forgets_nothing(story: Story) -> None:
    with TemporaryDirectory() as folder:
        first, now = Screen(Path(folder), 600.0, NOON), NOON
        for name, what, payload, later, kept in story:
            now += later
            first.hear(Heard(topic(name, what), payload, kept), now)
        first.write(now)
        text = first.page.read_text(encoding="utf-8")
        assert text.count("<th scope='row'>") == len(first.room.learners) <= 4
        again = Screen(Path(folder), 600.0, now)
    assert again.spoilt == 0
    for name, learner in first.room.learners.items():
        assert again.room.learners[name].tasks == learner.tasks
        assert again.room.learners[name].lacking == learner.lacking
        assert again.room.learners[name].alias == learner.alias
    assert again.room.learners.keys() == first.room.learners.keys()


@settings(max_examples=25)
@given(heard)
def test_whatever_is_told_the_page_shows_it_and_a_new_start_forgets_nothing(story: Story) -> None:
    whatever_is_told_the_page_shows_and_a_new_start_forgets_nothing(story)


@pytest.mark.long
@settings(max_examples=1_000)
@given(heard)
def test_whatever_is_told_for_long_the_page_shows_it(story: Story) -> None:
    whatever_is_told_the_page_shows_and_a_new_start_forgets_nothing(story)


def test_another_day_begins_another_journal(tmp_path: Path) -> None:
    Screen(tmp_path, 600.0, NOON).hear(told(1, READY, ready()), NOON)
    assert not Screen(tmp_path, 600.0, NOON + 86_400).room.learners
    assert len(Screen(tmp_path, 600.0, NOON).room.learners) == 1


def test_a_journal_that_ended_within_a_line_costs_that_line_only(tmp_path: Path) -> None:
    first = Screen(tmp_path, 600.0, NOON)
    for number in (1, 2, 3):
        first.hear(told(number, READY, ready(f"Gull {number}")), NOON)
    path = first.journal.path
    path.write_bytes(b"[7]\n" + path.read_bytes()[:-20])
    again = Screen(tmp_path, 600.0, NOON)
    assert list(again.room.names().values()) == ["Gull 1", "Gull 2"] and again.spoilt == 2
    again.hear(told(4, READY, ready("Tern")), NOON)
    assert list(Screen(tmp_path, 600.0, NOON).room.names().values()) == ["Gull 1", "Gull 2", "Tern"]


def test_a_folder_that_cannot_be_written_to_and_a_broker_that_is_not_there_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "C").mkdir()
    (tmp_path / "C" / "room").touch()
    assert main(["room", str(tmp_path / "C"), "--no-browser"]) == 1
    assert "journal cannot be written" in capsys.readouterr().err
    nobody = f"127.0.0.1:{RealBroker.free_port()}"
    assert main(["room", str(tmp_path), "--broker", nobody, "--no-browser"]) == 1
    assert f"No broker answers at {nobody}" in capsys.readouterr().err
    assert main(["room", str(tmp_path), "--stuck", "nan", "--no-browser"]) == 1
    assert "more than 0 minutes" in capsys.readouterr().err
    assert main(["room", str(tmp_path), "--broker", "mqtt://x", "--no-browser"]) == 1
    assert "address is a host" in capsys.readouterr().err


def test_a_password_that_the_broker_does_not_know_is_told(place: Place, tmp_path: Path) -> None:
    other = tmp_path / "other"
    kept_access(other / "broker")
    with running(other, "--broker", place.address) as screen:
        assert screen.wait(180) == 1
    said = other.with_suffix(".log").read_text()
    assert "did not let the screen in" in said and SEATS in said and "Traceback" not in said


def test_the_address_for_the_board_is_this_computers_own() -> None:
    found = lan_address()
    with contextlib.closing(socket.socket()) as door:
        door.bind((found, 0))
    assert ":" not in found and PORT == 1883
