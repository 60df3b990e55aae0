"""The link: a process is started, spoken with and ended, whatever it does."""

from __future__ import annotations

import functools
import os
import sys
import time
from pathlib import Path

import pytest

from robotsim import Whose
from robotsim.board import link as door
from robotsim.board.engines import ENGINES, command, plugged
from robotsim.board.order import Patience
from robotsim.errors import KitError, LinkError, UnknownNameError

Link = functools.partial(door.Link, whose=Whose.KIT)
"""Every program here is the test's own."""

POSIX = pytest.mark.skipif(os.name != "posix", reason="looks at Unix processes")


def _bare(line: bytes) -> bytes:
    """Give a message without what was computed before it."""
    return line.partition(b" ")[2] if line.startswith(b"+") else line


def hear(link: Link, last: bytes = b"q") -> list[bytes]:
    """Give all that a program says up to its last word, answering its questions with 0."""
    said = []
    while (line := _bare(link.next())) and line != last:
        said.append(line)
        if line[:1].isupper():
            link.reply(b"=0")
    return said


@pytest.mark.parametrize("engine", list(ENGINES))
def test_a_program_is_heard_word_by_word(engine: str, need_engine: None) -> None:
    text = "from machine import Pin\nled = Pin(2, Pin.OUT)\nled.on()\nprint(led.value())\n"
    with Link({"main.py": text}, "main.py", engine) as link:
        assert hear(link) == [b"m 2 out ", b"o 2 1", b"I 2", b't "0\\n"']


@POSIX
def test_a_process_that_starts_late_is_not_taken_for_a_silent_program(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """On a busy computer the interpreter itself takes long to come up."""
    late = ["sh", "-c", 'sleep 3.5; exec "$0" "$@"', *command("cpython")]
    monkeypatch.setattr(door, "command", lambda engine: late)
    text = "from machine import Pin\nPin(2, Pin.OUT)\n"
    with Link({"main.py": text}, "main.py", "cpython", silence_s=2.0) as link:
        assert hear(link) == [b"m 2 out "] and not link.silenced


@POSIX
@pytest.mark.parametrize("engine", list(ENGINES))
def test_a_program_that_never_speaks_is_waited_for_no_longer_than_one_that_has(
    engine: str, need_engine: None
) -> None:
    with Link({"main.py": "exec('while True: pass')"}, "main.py", engine, silence_s=0.5) as link:
        link.patience = Patience(100.0)
        hear(link)
        assert link.silenced and link.patience.left_s > 97.0  # six times 0.5 would leave less


@pytest.mark.parametrize("engine", list(ENGINES))
def test_small_messages_are_gathered_and_none_is_lost(engine: str, need_engine: None) -> None:
    text = "import time\nfor k in range(500):\n    time.sleep_us(k)\n"
    with Link({"main.py": text}, "main.py", engine) as link:
        assert hear(link) == [b"s %d" % k for k in range(500)]


@pytest.mark.parametrize("engine", list(ENGINES))
def test_a_program_imports_the_other_files_of_its_board(engine: str, need_engine: None) -> None:
    files = {
        "main.py": "import helm\nfrom crew.x import no\n",
        "helm.py": "import rudder\nprint(rudder.angle)\n",
        "rudder.py": "angle = 5\n",
    }
    with Link(files, "main.py", engine) as link:
        said = hear(link)
    assert said[0] == b't "5\\n"'
    assert said[1].startswith(b"x ") and b"no module named 'crew'" in said[1]


@pytest.mark.parametrize("engine", list(ENGINES))
def test_the_boards_random_numbers_come_from_the_links_seed(engine: str, need_engine: None) -> None:
    text = "import random\nprint([random.randint(1, 6) for _ in range(8)])\n"

    def rolled(seed: int) -> list[bytes]:
        with Link({"main.py": text}, "main.py", engine, seed=seed) as link:
            return hear(link)

    assert rolled(1) == rolled(1)
    assert rolled(1) != rolled(2)


def test_leaving_the_link_ends_the_process_whatever_it_does() -> None:
    with Link({"main.py": "while True: pass\n"}, "main.py", "cpython") as link:
        process = link._process
        assert process.poll() is None
    assert process.poll() is not None


def test_leaving_the_link_by_an_error_ends_the_process_too() -> None:
    with (
        pytest.raises(ZeroDivisionError),
        Link({"main.py": "while True: pass\n"}, "main.py", "cpython") as link,
    ):
        process = link._process
        raise ZeroDivisionError
    assert process.poll() is not None


def test_a_silent_program_is_asked_for_its_place_and_a_deaf_one_is_ended() -> None:
    with Link({"main.py": "exec('while True: pass')\n"}, "main.py", "cpython", 0.75) as link:
        word = _bare(link.next())
        assert link.silenced
        assert word.startswith(b"x ") and b'["main.py", 1, "<module>"]' in word
    hidden = "exec('while True: pass')\n"  # what stands in a text is not counted
    deaf = "import sys\ns = sys.modules['signal']\ns.signal(2, s.SIG_IGN)\n" + hidden
    with Link({"main.py": deaf}, "main.py", "cpython", 0.75) as link:
        assert _bare(link.next()) == b"", "its pipe is closed, so it is gone"
        assert link.silenced


def test_what_a_silent_program_says_when_asked_is_its_place_or_nothing() -> None:
    odd = (
        "import sys\nos, s = sys.modules['os'], sys.modules['signal']\n"
        "s.signal(2, lambda *_: os.write(1, b'rubbish\\n'))\nexec('while True: pass')\n"
    )
    with Link({"main.py": odd}, "main.py", "cpython", 0.75) as link:
        assert _bare(link.next()) == b""
        assert link.silenced


def test_the_time_that_the_host_itself_needs_is_not_held_against_the_program() -> None:
    """A trial whose table takes long to work out must not stop an honest program."""
    text = "from machine import Pin\nled = Pin(2)\nfor _ in range(3):\n    led.value()\n"
    with Link({"main.py": text}, "main.py", "cpython", 0.5) as link:
        assert _bare(link.next()) == b"I 2"
        time.sleep(2.5)  # the host is at work, and the program waits
        assert not link.silenced
        link.reply(b"=0")
        assert hear(link) == [b"I 2", b"I 2"]


def test_an_empty_line_is_not_taken_for_the_end() -> None:
    text = "import sys\nsys.modules['os'].write(1, b'\\n')\nprint('on')\n"
    with Link({"main.py": text}, "main.py", "cpython") as link:
        assert hear(link) == [b" ", b't "on\\n"']


def test_a_message_without_end_is_refused_before_it_fills_the_host() -> None:
    text = "import sys\nwhile True:\n    sys.modules['os'].write(1, b'x' * 60000)\n"
    with Link({"main.py": text}, "main.py", "cpython") as link, pytest.raises(LinkError):
        link.next()


def test_a_process_that_is_gone_can_still_be_spoken_to() -> None:
    text = "import sys\nsys.modules['os']._exit(3)\n"
    with Link({"main.py": text}, "main.py", "cpython") as link:
        assert _bare(link.next()) == b""
        for _ in range(1000):
            link.reply(b"=" + b"0" * 1000)
        assert _bare(link.next()) == b""


@POSIX
def test_the_process_has_nothing_of_the_hosts_surroundings(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SECRET", "tide")
    monkeypatch.setenv("PYTHONSTARTUP", "tide.py")
    text = (
        "import sys\nos = sys.modules['os']\nprint(sorted(os.environ))\nprint(os.getcwd())\n"
        "print([p for p in sys.path if p.endswith(('', 'site-packages'))])\n"
    )
    with Link({"main.py": text}, "main.py", "cpython") as link:
        said = [line.decode() for line in hear(link)]
    assert "SECRET" not in said[0] and "PYTHONSTARTUP" not in said[0]
    assert str(Path.cwd()) not in said[1]
    assert "site-packages" not in said[2]


@POSIX
def test_the_process_stands_in_a_session_of_its_own() -> None:
    """An interrupt at the keyboard is for the notebook, not for the program."""
    with Link({"main.py": "while True: pass\n"}, "main.py", "cpython") as link:
        assert os.getsid(link._process.pid) == link._process.pid != os.getsid(0)


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_no_file_of_the_host_stays_open() -> None:
    def opened() -> int:
        return len(os.listdir("/proc/self/fd"))

    with Link({"main.py": "print(1)\n"}, "main.py", "cpython") as link:
        hear(link)
    before = opened()
    for _ in range(5):
        with Link({"main.py": "print(1)\n"}, "main.py", "cpython") as link:
            hear(link)
    assert opened() == before


@pytest.mark.parametrize("engine", ["micropython"])
def test_no_text_is_laid_on_disk_and_what_is_there_is_taken_away_again(
    engine: str, need_engine: None
) -> None:
    files = {"main.py": "print(1)\n", "vfs.py": "print(2)\n", "../up.py": "", "words.txt": "3"}
    with Link(files, "main.py", engine) as link:
        folder = Path(link._folder.name)
        laid = {path.name: path.read_bytes() for path in folder.iterdir()}
        assert laid == {"own_main.py": b"", "own_vfs.py": b""}
    assert not folder.exists()


def test_an_engine_that_is_not_known_or_not_there_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(UnknownNameError, match="did you mean 'cpython'"):
        command("cpythn")
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    with pytest.raises(KitError, match="not installed here") as named:
        command("micropython")
    with pytest.raises(KitError, match="not installed here") as unnamed:
        plugged()
    # Another Python's pip would add it where nobody looks for it.
    assert all(f"{sys.executable} -m pip install" in one.value.hint for one in (named, unnamed))
    assert "leave engine out" in named.value.hint and "engine" not in unnamed.value.hint
