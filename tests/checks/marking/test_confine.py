"""What a stranger's program is kept from, layer by layer, each seen to hold.

Programs that have found their way to the interpreter's own modules try what they can where a
system has all layers, and where it has fewer; see `reaches`.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import types
from pathlib import Path
from typing import Any

import pytest

from checks.course.lessons import ROOT
from robotsim import KitError
from robotsim.board import confine
from robotsim.board.computing import COUNTER, counting
from robotsim.board.confine import LAYERS, NEEDED
from tests.checks.marking.reaches import COLUMNS, REACHES, Reach, page

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="offered on Linux only")

AHOY = "import time\ntime.sleep(1)\nprint('ahoy')"
HOST = """
import json, os, sqlite3, sys
from pathlib import Path
from robotsim import KitError, Whose, run_trial
from robotsim.board import confine, nursery
from tests.checks.marking.reaches import REACHES, program_of
home, kit, ahoy, way, without = Path(sys.argv[1]), *sys.argv[2:5], sys.argv[5:]
work = home / "work"
work.mkdir()
(home / "spare").write_text("spare")
(home / "secret").write_text("secret")
base = sqlite3.connect(home / "gradebook.db")
base.execute("create table scores (points)")
base.execute("insert into scores values (12)")
base.commit()
base.close()
os.environ["TMPDIR"] = str(work)
os.chdir(work)
open_trial = run_trial(ahoy, seconds=2, whose=Whose.OWN)
confine.confine_process(work, [Path(kit) / "robotsim"], without)
refused = confine.refusal()
if way == "forked":
    nursery.keep_nursery()
confine.let_programs_reach_this_computer()
shut_trial = run_trial(ahoy, seconds=2)
text = program_of(
    *REACHES, SECRET=str(home / "secret"), SPARE=str(home / "spare"), FOLDER=str(home),
    DATABASE=str(home / "gradebook.db"), KIT=kit, HOST=os.getpid(),
)
made = run_trial(text, seconds=9)
found = dict(line.split(": ", 1) for _, line in made.printed if ": " in line)
try:
    own = open(home / "secret").read()
except OSError:
    own = "kept out"
print(json.dumps({
    "told": [[p.name, p.on, p.by] for p in confine.protections()], "found": found, "own": own,
    "refused": str(refused or ""), "same": open_trial == shut_trial,
    "printed": shut_trial.printed, "forked": nursery._Kept.nursery is not None,
}))
"""


WAYS = [(column, way) for column in COLUMNS for way in ("started", "forked")]
"""A kind of computer, and how programs get a process there."""
Told = dict[str, Any]


def measured(home: Path, column: str, way: str) -> Told:
    without = [name for name in LAYERS if name not in COLUMNS[column]]
    done = subprocess.run(
        [sys.executable, "-P", "-c", HOST, home, ROOT, AHOY, way, *without],
        capture_output=True, text=True, check=False, env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    told: Told = json.loads(done.stdout)
    return told


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, str], Told]:
    """Column and way to what was found where there are its layers."""
    return {one: measured(tmp_path_factory.mktemp("home"), *one) for one in WAYS}


def lacks(column: str, table: dict[tuple[str, str], Told]) -> set[str]:
    """Give the layers of a column that this computer does not have at all."""
    on = {name for name, is_on, _ in table[column, "started"]["told"] if is_on}
    return COLUMNS[column] - on - {"guard"}


def test_a_thread_that_has_just_ended_costs_no_wall() -> None:
    """Python has seen it end; the system may list it for a moment more."""
    code = """
import threading
from robotsim.board.confine_linux import alone
for _ in range(300):
    one = threading.Thread(target=int)
    one.start()
    one.join()
    assert alone()
held = threading.Event()
threading.Thread(target=held.wait).start()
assert not alone()
held.set()
"""
    subprocess.run([sys.executable, "-P", "-c", code], check=True, cwd=ROOT,
                   env={**os.environ, "PYTHONPATH": str(ROOT)})  # fmt: skip


@pytest.mark.parametrize(("column", "way"), WAYS)
def test_every_reach_is_contained_where_the_table_says_so(
    column: str, way: str, table: dict[tuple[str, str], Told]
) -> None:
    if lacking := lacks(column, table):
        pytest.skip(f"this computer does not have {', '.join(sorted(lacking))}")
    found = table[column, way]["found"]
    through = {
        reach.name: found.get(reach.name) for reach in REACHES
        if reach.contained(column) and "kept out" not in found.get(reach.name, "")
    }  # fmt: skip
    assert through == {}
    assert set(found) == {reach.name for reach in REACHES}


def test_what_no_layer_holds_is_said_to_get_through(table: dict[tuple[str, str], Told]) -> None:
    """The guard alone holds next to nothing: the table must not claim more than was measured."""
    found = table["guard alone", "started"]["found"]
    claimed = [reach for reach in REACHES if not reach.contained("guard alone")]
    through = [reach.name for reach in claimed if found[reach.name] == "GOT THROUGH"]
    # The rest needs what not every computer has: another owner, a device, a label on a file.
    assert len(through) > 0.7 * len(claimed), {r.name: found[r.name] for r in claimed}


@pytest.mark.parametrize("column", COLUMNS)
def test_only_with_the_layers_that_are_needed_is_a_strangers_program_run(
    column: str, table: dict[tuple[str, str], Told]
) -> None:
    told = {name: on for name, on, _ in table[column, "started"]["told"]}
    assert set(told) == set(LAYERS)
    refused = table[column, "started"]["refused"]
    assert bool(refused) == (not all(told[name] for name in ("limits", "files", "calls")))
    if refused:
        assert "--programs-may-reach-this-computer" in refused and "Linux" in refused
    for name in set(LAYERS) - COLUMNS[column] - {"network"}:
        assert not told[name]


@pytest.mark.parametrize("column", ["full", "container"])
def test_the_marker_itself_cannot_read_what_is_not_its_own(
    column: str, table: dict[tuple[str, str], Told]
) -> None:
    if lacks(column, table):
        pytest.skip("this computer offers nothing that keeps files out of reach")
    assert table[column, "forked"]["own"] == "kept out"


@pytest.mark.parametrize("column", COLUMNS)
def test_a_nursery_forks_only_where_every_layer_that_is_needed_holds(
    column: str, table: dict[tuple[str, str], Told]
) -> None:
    needed = COLUMNS[column] >= set(NEEDED)
    if needed and lacks(column, table):
        pytest.skip("this computer does not have all layers")
    assert table[column, "forked"]["forked"] == needed
    assert not table[column, "started"]["forked"]


@pytest.mark.parametrize(("column", "way"), WAYS)
def test_a_confined_trial_is_the_same_to_the_last_bit(
    column: str, way: str, table: dict[tuple[str, str], Told]
) -> None:
    # It slept for a second, its messages took 6 us, and the rest is what its statements count.
    counted = sum(int(us) for us in re.findall(rf"{COUNTER}\((\d+),", counting(AHOY)))
    assert counted > 1000  # an import alone
    when = round(1.000006 + counted / 1e6, 6)
    told = table[column, way]
    assert told["same"] and told["printed"] == [[when, "ahoy"]]


def test_the_table_is_long_and_every_row_has_a_name_of_its_own() -> None:
    assert len(REACHES) >= 60
    assert len({reach.name for reach in REACHES}) == len(REACHES)
    assert all(isinstance(reach, Reach) and reach.contained("full") for reach in REACHES)


def test_the_page_says_what_is_measured() -> None:
    told = (ROOT / "checks/marking/SAFETY.md").read_text(encoding="utf-8")
    assert page() in told


@pytest.mark.parametrize("system", ["darwin", "win32"])
def test_on_another_system_the_truth_is_told_before_anything_runs(
    system: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    confine._established.cache_clear()
    monkeypatch.setattr(confine.sys, "platform", system)
    if system == "win32":
        monkeypatch.setattr(confine, "os", types.SimpleNamespace(name="nt"))
    try:
        off = {one.name for one in confine.protections() if not one.on}
        assert off >= {"files", "calls", "sight"}
        fault = confine.refusal()
        assert fault is not None and "WSL 2" in fault.hint
        monkeypatch.setattr(confine._State, "permitted", False)
        with pytest.raises(KitError, match="cannot be kept in on this computer"):
            confine.confined_start(True, "cpython")
        assert confine.confined_start(False, "cpython") is None
    finally:
        monkeypatch.undo()
        confine._established.cache_clear()
