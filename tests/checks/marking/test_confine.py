"""What the system itself keeps a marked program from, without the interpreter's guard.

A probe runs where a board's process would, with the same steps before it; it is plain Python with
nothing in its way but the system.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from checks.course.lessons import ROOT

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="offered on Linux only")

PROBE = """
import os, json, resource, _socket, sys
host, secret, kit = int(sys.argv[1]), sys.argv[2], sys.argv[3]
tries = {
    "read a secret": lambda: os.open(secret, os.O_RDONLY),
    "read the judge": lambda: os.open(kit + "/checks/judge.py", os.O_RDONLY),
    "read a lesson": lambda: os.open(kit + "/lessons/lamps.md", os.O_RDONLY),
    "read its host": lambda: os.open(f"/proc/{host}/environ", os.O_RDONLY),
    "list a folder": lambda: os.listdir(os.path.dirname(secret)),
    "write a file": lambda: os.open(secret + ".new", os.O_WRONLY | os.O_CREAT),
    "write to the work folder": lambda: os.open("new", os.O_WRONLY | os.O_CREAT),
    "remove a file": lambda: os.remove(secret),
    "touch a file": lambda: os.utime(secret, (1, 1)),
    "signal its host": lambda: os.kill(host, 0),
    "limit its host": lambda: resource.prlimit(host, resource.RLIMIT_CORE, (0, 0)),
    "slow its host": lambda: os.setpriority(os.PRIO_PROCESS, host, 19),
    "fork": lambda: os.fork() or os._exit(0),
    "start a program": lambda: os.posix_spawn("/bin/sh", ["sh", "-c", "true"], {}),
    "become a program": lambda: os.execv("/bin/sh", ["sh", "-c", "true"]),
    "open a socket": lambda: _socket.socket(),
    "fill memory": lambda: bytes(700 * 1024 * 1024),
}
found = {}
for name, call in tries.items():
    try:
        call()
    except (OSError, MemoryError) as fault:
        found[name] = type(fault).__name__
    else:
        found[name] = "done"
print(json.dumps(found))
"""

HOST = """
import json, os, subprocess, sys
from pathlib import Path
from robotsim import run_trial
from robotsim.board.confine import before_start, confine_boards
work, secret, kit = Path(sys.argv[1]), sys.argv[2], sys.argv[3]
os.environ["TMPDIR"] = str(work)
os.chdir(work)
open_trial = run_trial("import time\\ntime.sleep(1)\\nprint('ahoy')", seconds=2)
told = confine_boards(work, [Path(kit) / "robotsim", Path(kit) / "checks"])
shut_trial = run_trial("import time\\ntime.sleep(1)\\nprint('ahoy')", seconds=2)
probe = subprocess.run(
    [sys.executable, "-P", "-s", "-S", "-B", "-c", sys.argv[4], str(os.getpid()), secret, kit],
    capture_output=True, text=True, preexec_fn=before_start(), cwd=work,
)
try:
    own = open(secret).read()
except OSError:
    own = "kept out"
print(json.dumps({
    "told": [[p.name, p.on] for p in told], "probe": probe.stdout, "error": probe.stderr[-500:],
    "own": own, "same": open_trial == shut_trial, "printed": shut_trial.printed,
}))
"""


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> dict[str, object]:
    """What a probe could do, and what was said to be on."""
    home = tmp_path_factory.mktemp("home")
    (home / "work").mkdir()
    (home / "gradebook.db").write_text("secret", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-P", "-c", HOST, home / "work", home / "gradebook.db", ROOT, PROBE],
        capture_output=True, text=True, check=False, env={"PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    told: dict[str, object] = json.loads(done.stdout)
    assert told["probe"], told["error"]
    told["probe"] = json.loads(str(told["probe"]))
    assert Path(home / "gradebook.db").read_text(encoding="utf-8") == "secret"
    assert not list(home.rglob("*new*"))
    return told


GROUPS = {
    "files": {"read a secret", "read the judge", "read a lesson", "read its host", "list a folder",
              "write a file", "write to the work folder", "remove a file", "become a program"},
    "calls": {"touch a file", "signal its host", "limit its host", "slow its host", "fork",
              "start a program", "open a socket"},
    "limits": {"fill memory"},
}  # fmt: skip


@pytest.mark.parametrize("name", GROUPS)
def test_what_is_said_to_be_on_keeps_a_program_out(name: str, found: dict[str, object]) -> None:
    told = dict(found["told"])  # type: ignore[call-overload]
    if not told[name]:
        pytest.skip(f"{name}: not offered by this system")
    probe = found["probe"]
    assert isinstance(probe, dict)
    assert {what: probe[what] for what in GROUPS[name] if probe[what] == "done"} == {}


def test_every_protection_has_its_line(found: dict[str, object]) -> None:
    told = dict(found["told"])  # type: ignore[call-overload]
    assert set(told) == {"guard", "limits", "network", "files", "calls"}


def test_the_marker_itself_cannot_read_what_is_not_its_own(found: dict[str, object]) -> None:
    told = dict(found["told"])  # type: ignore[call-overload]
    if not told["files"]:
        pytest.skip("this system offers nothing that keeps files out of reach")
    assert found["own"] == "kept out"


def test_a_confined_trial_is_the_same_to_the_last_bit(found: dict[str, object]) -> None:
    assert found["same"] and found["printed"] == [[1.000006, "ahoy"]]
