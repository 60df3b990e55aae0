"""Files on the board: written, read, kept over a restart, and never on the host's disk."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim import Recording, run_trial
from robotsim.board import costs
from robotsim.board.board import Board
from robotsim.board.engines import ENGINES
from robotsim.board.flash import SIZE
from robotsim.errors import LinkError
from robotsim.units import SECOND
from tests.robotsim.board.fakes import FakeWorld, Script
from tests.robotsim.board.test_shims import Notes, _load


@pytest.fixture(params=list(ENGINES))
def engine(request: pytest.FixtureRequest) -> str:
    return request.param


def run(text: str, engine: str, seconds: float = 5.0, **files: str) -> Recording:
    named = {name.replace("_", "."): content for name, content in files.items()}
    return run_trial({"main.py": text, **named}, seconds=seconds, engine=engine)


def printed(recording: Recording) -> list[str]:
    assert recording.problem is None, recording.problem
    return [line for _, line in recording.printed]


def serve(lines: list[bytes], files: dict[str, bytes] | None = None) -> Board:
    door = Script([*lines, b"q"])
    board = Board(FakeWorld(), 60 * SECOND, files=files)
    door.talk(board.hear)
    return board


def name(text: str) -> bytes:
    return text.encode().hex().encode()


# -- the host's side -----------------------------------------------------------


def test_bytes_are_put_at_their_place_and_what_was_behind_is_gone() -> None:
    files = {"log.txt": b"fair wind"}
    board = serve([b"f " + name("log.txt") + b" 5 " + b"seas".hex().encode()], files)
    assert files == {"log.txt": b"fair seas"}
    assert board.events[0].data == ("written", "log.txt", 9)
    assert board.now_ns == costs.FILE + 4 * costs.FILE_BYTE


def test_files_are_removed_renamed_and_put_in_folders() -> None:
    files = {"a": b"1", "b": b"2"}
    serve(
        [b"v " + name("a"), b"k " + name("old/"), b"r " + name("b") + b" " + name("old/b")], files
    )
    assert files == {"old/": b"", "old/b": b"2"}


def test_the_flash_is_no_larger_than_it_is() -> None:
    line = b"f " + name("big") + b" %d " + b"00" * 20_000
    lines = [line % (20_000 * k) for k in range(SIZE // 20_000)]
    assert len(serve(lines).flash.files["big"]) == len(lines) * 20_000
    with pytest.raises(LinkError):
        serve([*lines, line % (20_000 * len(lines))])


# -- a program's side ------------------------------------------------------------


def test_what_is_written_can_be_read_and_comes_with_the_recording(
    engine: str, need_engine: None
) -> None:
    text = (
        "with open('log.txt', 'w') as log:\n"
        "    print(log.write('Fähre\\n'), log.tell())\n"
        "    log.write('quay')\n"
        "with open('log.txt') as log:\n"
        "    print(log.readline().strip(), log.read(2), log.read(), repr(log.read()))\n"
        "with open('log.txt', 'a') as log:\n"
        "    log.write(' line\\nend')\n"
        "print([line.strip() for line in open('log.txt')])\n"
        "data = open('log.txt', 'rb')\n"
        "into = bytearray(4)\n"
        "print(data.readinto(into), into, data.seek(-3, 2), data.read())\n"
        "with open('log.txt', 'r+') as log:\n"
        "    log.write('FA')\n"
    )
    recording = run(text, engine)
    assert printed(recording) == [
        "6 7", "Fähre qu ay ''", "['F\\xe4hre', 'quay line', 'end']",
        "4 bytearray(b'F\\xc3\\xa4h') 17 b'end'",
    ]  # fmt: skip
    assert recording.kept == {"log.txt": "FAähre\nquay line\nend".replace("FAä", "FA\\xa4")}
    assert Recording.from_bytes(recording.to_bytes()) == recording


def test_files_outlast_a_restart_but_not_what_was_neither_flushed_nor_closed(
    engine: str, need_engine: None
) -> None:
    text = (
        "import machine\n"
        "try:\n"
        "    starts = int(open('starts.txt').read())\n"
        "except OSError:\n"
        "    starts = 0\n"
        "with open('starts.txt', 'w') as file:\n"
        "    file.write(str(starts + 1))\n"
        "lost = open('lost.txt', 'w')\n"
        "lost.write('kept')\n"
        "lost.flush()\n"
        "lost.write(' and lost')\n"
        "if starts < 2:\n"
        "    machine.reset()\n"
        "print(starts, open('lost.txt').read() or 'made anew')\n"
    )
    recording = run(text, engine)
    assert printed(recording) == ["2 kept"]
    assert recording.kept["starts.txt"] == "3"
    assert recording.kept["lost.txt"] == "kept and lost", "a program's end closes its files"
    assert sum(1 for _ in recording.of("reset")) == 2


def test_the_board_tells_why_it_has_started(engine: str, need_engine: None) -> None:
    text = (
        "import machine, os\n"
        "print(machine.reset_cause() == machine.PWRON_RESET)\n"
        "if 'went' in os.listdir():\n"
        "    print(machine.reset_cause() == machine.DEEPSLEEP_RESET)\n"
        "else:\n"
        "    open('went', 'w').close()\n"
        "    machine.deepsleep(1000)\n"
    )
    recording = run(text, engine)
    assert printed(recording) == ["True", "False", "True"]
    assert recording.printed[1][0] > 1.0


def test_a_program_rewrites_a_file_that_came_with_the_board(engine: str, need_engine: None) -> None:
    text = (
        "import json\n"
        "with open('settings.json') as file:\n"
        "    settings = json.load(file)\n"
        "settings['trim'] = 0.5\n"
        "with open('settings.json', 'w') as file:\n"
        "    json.dump(settings, file)\n"
        "import helm\n"
        "print(helm.trim(), settings)\n"
    )
    helm = "import json\ndef trim():\n    return json.load(open('settings.json'))['trim']\n"
    recording = run(text, engine, settings_json='{"trim": 1}', helm_py=helm)
    assert printed(recording) == ["0.5 {'trim': 0.5}"]
    assert recording.kept == {"settings.json": '{"trim": 0.5}'}
    assert recording.files["settings.json"] == '{"trim": 1}'


def test_folders_and_names_are_as_on_the_board(engine: str, need_engine: None) -> None:
    text = (
        "import os\n"
        "os.mkdir('logs')\n"
        "os.chdir('logs')\n"
        "open('one.txt', 'w').close()\n"
        "print(os.getcwd(), os.listdir(), os.listdir('/'))\n"
        "print(os.stat('/logs')[0], os.stat('one.txt')[6])\n"
        "os.rename('one.txt', '/two.txt')\n"
        "os.chdir('/')\n"
        "os.rmdir('logs')\n"
        "print(os.listdir(), os.statvfs('/')[0], os.uname()[0], len(os.urandom(3)))\n"
        "for act in (lambda: os.remove('no'), lambda: os.mkdir('two.txt'),\n"
        "            lambda: os.chdir('no'), lambda: open('no/x', 'w'),\n"
        "            lambda: open('two.txt').write('x')):\n"
        "    try:\n"
        "        act()\n"
        "    except OSError as fault:\n"
        "        print(fault.errno)\n"
    )
    assert printed(run(text, engine)) == [
        "/logs ['one.txt'] ['logs', 'main.py']", "16384 0", "['main.py', 'two.txt'] 4096 esp32 3",
        "2", "17", "2", "2", "9",
    ]  # fmt: skip


def test_no_file_of_the_host_is_touched(
    engine: str, need_engine: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "secret.txt").write_text("host")
    place = str(tmp_path / "secret.txt")
    text = (
        f"for name in ('secret.txt', {place!r}, '../secret.txt'):\n"
        "    try:\n"
        "        print(open(name).read())\n"
        "    except OSError as fault:\n"
        "        print(fault)\n"
        "open('secret.txt', 'w').write('board')\n"
    )
    recording = run(text, engine)
    assert printed(recording) == ["[Errno 2] ENOENT"] * 3
    assert (tmp_path / "secret.txt").read_text() == "host"
    assert [path.name for path in tmp_path.iterdir()] == ["secret.txt"]
    assert recording.kept == {"secret.txt": "board"}


def test_a_flash_that_is_full_says_so(engine: str, need_engine: None) -> None:
    text = (
        "chunk = bytes(50000)\n"
        "try:\n"
        "    for k in range(60):\n"
        "        with open('%d.bin' % k, 'wb') as file:\n"
        "            file.write(chunk)\n"
        "except OSError as fault:\n"
        "    print(fault.errno, k)\n"
    )
    assert printed(run(text, engine, seconds=60.0)) == ["28 41"]


@given(st.lists(st.tuples(st.integers(0, 40), st.binary(max_size=12)), max_size=8))
def test_whatever_is_written_where_the_host_has_what_the_program_has(
    writes: list[tuple[int, bytes]],
) -> None:
    """The program's side runs here, over a link that only notes what is said."""
    notes = Notes()
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(sys.modules, "_link", notes)
        flash = _load("board_flash")
        flash._link = notes
        file, copy = flash.open("x.bin", "wb"), bytearray()
        for place, data in writes:
            file.seek(place)
            file.write(data)
            copy += bytes(max(0, place - len(copy)) if data else 0)
            copy[place : place + len(data)] = data
            file.flush()
        file.close()
    host: dict[str, bytes] = {}
    serve([line.encode() for line in notes.said], host)
    assert host["x.bin"] == flash.files["x.bin"] == bytes(copy)
