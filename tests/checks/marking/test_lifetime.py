"""Nothing outlives who asked for it, and nobody is waited for without end."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from checks import check
from checks.course.lessons import ROOT
from checks.judge import CHECK_PATIENCE_S
from robotsim import Whose, run_trial
from robotsim.board.order import Patience
from robotsim.trial import run_trials

GOES_ON = "exec('while True: pass')\n"  # which no count of statements ends
"""A program that never speaks, and would notice nothing."""
MARKER = """
import json, sys
from checks.marking.client import Worker
from checks.marking.requests import Request
worker = Worker()
worker.start()
print(worker._process.pid, flush=True)
worker.check(Request("lamps.signal", json.dumps({"signal.py": sys.argv[1]})))
"""
OWNER = """
import sys
from robotsim import Whose, run_trial
print(0, flush=True)
run_trial(sys.argv[1], silence_s=60.0, whose=Whose.OWN)
"""


def children(pid: int) -> set[int]:
    """Give all processes that come of one."""
    found = set()
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            told = path.read_text(encoding="latin-1").rpartition(")")[2].split()
        except OSError:
            continue
        if int(told[1]) == pid:
            own = int(path.parent.name)
            found |= {own} | children(own)
    return found


def alive(pids: set[int]) -> set[int]:
    """Give those that still run; one whose end nobody has asked for does not."""
    found = set()
    for pid in pids:
        try:
            told = Path(f"/proc/{pid}/stat").read_text(encoding="latin-1").rpartition(")")[2]
        except OSError:
            continue
        if told.split()[0] not in "ZX":
            found.add(pid)
    return found


def until(done: object, seconds: float) -> None:
    """Wait for something, for so long at most."""
    end = time.monotonic() + seconds
    while not done() and time.monotonic() < end:  # type: ignore[operator]
        time.sleep(0.05)


@pytest.mark.skipif(sys.platform != "linux", reason="it reads /proc")
@pytest.mark.parametrize(("text", "count"), [(MARKER, 2), (OWNER, 1)], ids=["mark", "notebook"])
def test_whoever_is_killed_leaves_nothing_running(text: str, count: int) -> None:
    host = subprocess.Popen(
        [sys.executable, "-P", "-c", text, GOES_ON], stdout=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert host.stdout is not None and host.stdout.readline()

    def running() -> set[int]:
        return {pid for pid in children(host.pid) if "boot_cpython" in command_of(pid)}

    until(lambda: len(running()) >= count, 60.0)  # in marking the nursery, and what it forked
    found = children(host.pid)
    assert len(running()) >= count
    host.send_signal(signal.SIGKILL)
    host.wait()
    host.stdout.close()
    until(lambda: not alive(found), 30.0)
    left = alive(found)
    for pid in left:
        os.kill(pid, signal.SIGKILL)
    assert not left


def command_of(pid: int) -> str:
    try:
        return Path(f"/proc/{pid}/cmdline").read_text(encoding="latin-1")
    except OSError:
        return ""


NOW_AND_THEN = """\
import time
k = 0
while True:
    k += sum(range(N))  # one call, which no count of statements sees
    time.sleep_ms(1)
"""


def test_one_who_speaks_just_in_time_is_waited_for_only_so_long_in_all() -> None:
    """Each silence is shorter than what is allowed; together they are longer."""
    waited = Patience(1.5)
    told = run_trial(
        NOW_AND_THEN.replace("N", "40_000_000"), seconds=60.0, whose=Whose.KIT, patience=waited
    )
    assert told.ended == "stopped" and told.problem is not None
    assert "too long in all" in told.problem.message
    assert waited.left_s <= 0
    # What is left of it is shared: the next trial is over before it begins to wait.
    again = run_trial(GOES_ON, seconds=60.0, whose=Whose.KIT, patience=waited)
    assert again.ended == "stopped"


def test_a_check_gives_all_its_trials_one_patience(monkeypatch: pytest.MonkeyPatch) -> None:
    given = []

    def noted(files: Any, trials: Any, **named: Any) -> object:
        given.extend((one["patience"], one["patience"].left_s) for one in trials)
        return run_trials(files, trials, **named)

    monkeypatch.setattr("checks.judge.run_trials", noted)
    check("line.follow", files={"follow.py": "pass"}, whose=Whose.KIT)
    (first, left), (second, _), *_bare = given  # after them a board without a program
    assert first is second and left == CHECK_PATIENCE_S < 60.0


def test_an_honest_check_takes_next_to_nothing_of_it() -> None:
    right = next((ROOT / "tests/programs/lamps/signal").glob("right_*.py"))
    waited = Patience(1000.0)
    told = run_trial(right.read_text(encoding="utf-8"), seconds=5.0, patience=waited,
                     whose=Whose.KIT)  # fmt: skip
    assert told.ended != "stopped" and waited.left_s > 990.0
