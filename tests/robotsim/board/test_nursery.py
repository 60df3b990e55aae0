"""Programs that are forked from a nursery do as those that are started, and know nothing of it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from robotsim.board.confine import refusal

ROOT = Path(__file__).parents[3]
HOST = """
import json, os, signal, sys, time
from pathlib import Path
from robotsim import Whose, run_trial
from robotsim.board import confine, nursery
from robotsim.board.link import Link
work = Path(sys.argv[1])
os.environ["TMPDIR"] = str(work)
confine.confine_process(work, [Path(sys.argv[2]) / "robotsim"])
told = {}

def link(text, silence_s=5.0):
    return Link({"main.py": text}, "main.py", "cpython", silence_s, whose=Whose.STRANGER)

def rest(talking):
    found = []
    while line := talking.next():
        found.append(line.decode())
    return found

def said(text, silence_s=5.0):
    with link(text, silence_s) as talking:
        return rest(talking)

for way in ("started", "forked"):
    told[way] = {name: said(text, 0.75) for name, text in json.loads(sys.argv[3]).items()}
    nursery.keep_nursery()
kept = nursery._Kept.nursery

def is_open(number):
    try:
        return bool(os.fstat(number))
    except OSError:
        return False

def doors():
    return sum(map(is_open, range(1000)))

before = doors()
for _ in range(3):
    said("print(1)")
told["doors"] = doors() - before
with link("while True: pass") as one, link("while True: pass") as other:
    one.next(), other.next()
    born = one._process
    told["sessions"] = [os.getsid(p.pid) == p.pid for p in (born, other._process)]
    os.kill(born.pid, signal.SIGKILL)
    time.sleep(0.3)
    told["its number is kept until it is waited for"] = Path(f"/proc/{born.pid}").exists()
    rest(one)  # to its end
told["waited for"] = not Path(f"/proc/{born.pid}").exists()
with link("while True: pass") as orphan:
    orphan.next()
    kept._process.kill()
    kept._process.wait()
    rest(orphan)  # to its end
told["after that"] = said("print(2)"), said("print(3)")
print(json.dumps(told))
"""
SEES = """
import sys
found = [n for n in sys.modules if n in ('ctypes', '_ctypes', '_socket')]
frame, names = sys.modules['sys']._getframe(), []
while frame is not None:
    names.append(frame.f_code.co_name)
    frame = frame.f_back
print(found, 'births' in names, [n for n in 'prctl syscall door'.split() if n in globals()])
print([k for k in range(40) if opened(k)])
"""
OPENED = """
import sys
def opened(number):
    try:
        sys.modules['os'].fstat(number)
        return True
    except OSError:
        return False
"""
TEXTS = {
    "fails": "def f():\n    1 / 0\nf()\n",
    "silent": "exec('while True: pass')\n",
    "leaves a mark": "import sys\nsys.modules['_link'].mine = 1\nprint('left')\n",
    "finds none": "import sys\nprint(hasattr(sys.modules['_link'], 'mine'))\n",
    "sees": OPENED + SEES,
    "fills the memory": "kept = bytearray(600_000_000)\n",
    "gathers": "print({'b', 'a', 'c'}, sorted({'x': 1}), f'{1:03d}')\n",
    "dies": "import sys\nsys.modules['os']._exit(3)\n",
}  # fmt: skip


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    if refusal() is not None:
        pytest.skip("this computer cannot confine a program, so nothing is forked")
    done = subprocess.run(
        [sys.executable, "-P", "-c", HOST, tmp_path_factory.mktemp("work"), ROOT,
         json.dumps(TEXTS)],
        capture_output=True, text=True, check=False, env={**os.environ, "PYTHONPATH": str(ROOT)},
        timeout=120.0,  # one that does not end with its nursery talks for ever
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize("name", TEXTS)
def test_a_forked_program_says_to_the_letter_what_a_started_one_says(
    name: str, told: dict[str, Any]
) -> None:
    assert told["forked"][name] == told["started"][name]


def test_it_finds_nothing_of_the_nursery_and_of_no_program_before_it(told: dict[str, Any]) -> None:
    sees = told["forked"]["sees"]
    assert json.loads(sees[0].partition("t ")[2]) == "[] False []\n"
    assert json.loads(sees[1].partition("t ")[2]) == "[0, 1, 2]\n"
    assert told["forked"]["leaves a mark"][-2].endswith('t "left\\n"')
    assert told["forked"]["finds none"][-2].endswith('t "False\\n"')


def test_each_stands_alone_and_keeps_its_number_until_it_is_waited_for(
    told: dict[str, Any],
) -> None:
    assert told["sessions"] == [True, True]
    assert told["its number is kept until it is waited for"]
    assert told["waited for"] and told["doors"] == 0


def test_it_ends_with_its_nursery_and_the_next_is_started_all_the_same(
    told: dict[str, Any],
) -> None:
    assert [said[-2].partition("t ")[2] for said in told["after that"]] == ['"2\\n"', '"3\\n"']


AT_HOME = """
import json, sys, threading
from concurrent.futures import ThreadPoolExecutor
from robotsim import Whose, run_trial
from robotsim.board import nursery

def own(_=0):
    return run_trial(sys.argv[1], seconds=0.5, whose=Whose.OWN)

nursery.keep_nursery()
told = {}
with ThreadPoolExecutor(1) as other:
    started = other.submit(own).result()
told["started in another thread"] = nursery._Kept.nursery is None
forked = own()
told["forked"] = nursery._Kept.nursery is not None
told["reads"] = started.printed[0][1], forked.printed[0][1]

class BrokenOff:
    def __init__(self, door):
        self.door = door
        self.sendmsg, self.close = door.sendmsg, door.close

    def recv(self, most):
        raise KeyboardInterrupt

kept = nursery._Kept.nursery
kept._door = BrokenOff(kept._door)
try:
    own()
except KeyboardInterrupt:
    told["broken off"] = kept.ended
told["again"] = own() == forked and nursery._Kept.nursery is not kept
with ThreadPoolExecutor(4) as others:
    told["equal"] = all(found == forked for found in others.map(own, range(12)))
print(json.dumps(told))
"""
READS = """
import sys, time
try:
    sys.modules['os'].open(sys.modules['os'].__file__.replace('os.py', ''), 0)
    sys.modules['os'].open('{secret}', 0)
    print('all')
except OSError:
    print('nothing')
time.sleep(0.2)
"""


def test_in_a_notebook_a_persons_own_programs_are_forked_too_and_then_confined(
    tmp_path: Path,
) -> None:
    """The nursery ends with the thread that started it, so the main one does; all may ask."""
    if refusal() is not None:
        pytest.skip("this computer cannot confine a program, so nothing is forked")
    (tmp_path / "secret").touch()
    done = subprocess.run(
        [sys.executable, "-c", AT_HOME, READS.format(secret=tmp_path / "secret")],
        capture_output=True, text=True, check=False, cwd=ROOT, timeout=120.0,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told == {
        "started in another thread": True, "forked": True, "reads": ["all", "nothing"],
        "broken off": True, "again": True, "equal": True,
    }  # fmt: skip
