"""The catalogue of what the board offers, against the board itself and the real interpreter.

`python -m tests.robotsim.test_catalogue` asks the interpreter and writes `catalogue.json` anew.
"""

from __future__ import annotations

import builtins
import json
import os
import subprocess
import sys
from typing import Any

import pytest

from robotsim import KitError, run_trial
from robotsim.board.engines import command
from robotsim.catalogue import COMMON, find, modules, offered

SHARED = (
    "array", "binascii", "cmath", "collections", "errno", "gc", "hashlib", "heapq", "io", "json",
    "math", "re", "struct", "sys",
)  # fmt: skip
"""Modules that the board has in common with ordinary Python; the others are shims."""
KINDS = (str, bytes, bytearray, list, dict, set, frozenset, tuple, int, float)
ASK = """
import json, builtins
found = {"modules": {}, "kinds": {}, "builtins": dir(builtins)}
for name in %r:
    module = __import__(name)
    found["modules"][name] = [n for n in dir(module)]
for kind in (str, bytes, bytearray, list, dict, set, frozenset, tuple, int, float):
    found["kinds"][kind.__name__] = dir(kind)
print(json.dumps(found))
"""


def asked() -> dict[str, Any]:
    """Ask the real interpreter for its names, and sort them as `catalogue.json` does."""
    try:
        program = command("micropython")[0]
    except KitError as missing:
        end = pytest.fail if os.environ.get("QUAYSIDE_CI") == "1" else pytest.skip
        end(str(missing))
    ran = subprocess.run([program, "-c", ASK % (SHARED,)], capture_output=True, text=True)
    assert ran.returncode == 0, ran.stderr
    told = json.loads(ran.stdout)
    here = {name for kind in KINDS for name in dir(kind)}
    there = {name for names in told["kinds"].values() for name in names}
    public = {name for name in dir(builtins) if name[0] != "_"} - {"False", "None", "True"}
    return {
        "modules": {
            name: sorted(n for n in names if n[0] != "_")
            for name, names in sorted(told["modules"].items())
        },
        "no_builtins": sorted(public - set(told["builtins"])),
        "no_methods": sorted(name for name in here - there if name[0] != "_"),
    }


def test_the_kept_names_are_those_of_the_real_interpreter() -> None:
    kept, now = offered(), asked()
    again = "run python -m tests.robotsim.test_catalogue with Python 3.11"
    assert kept["modules"] == now["modules"], again
    for what in ("no_builtins", "no_methods"):  # a newer Python has more that the board lacks
        assert set(kept[what]) <= set(now[what]), again
        assert sys.version_info >= (3, 12) or kept[what] == now[what], again


@pytest.mark.parametrize("engine", ["cpython", "micropython"])
def test_the_board_offers_every_module_of_the_catalogue(engine: str) -> None:
    try:
        command(engine)
    except KitError as missing:
        pytest.skip(str(missing))
    names = sorted(modules())
    program = "".join(f"import {name}\nprint({name!r})\n" for name in names)
    told = run_trial(program, seconds=1.0, engine=engine)
    assert [text for _, text in told.printed] == names, told.problem


def test_the_board_offers_no_module_that_the_catalogue_lacks() -> None:
    candidates = sorted({*_stub_modules(), "numpy", "requests", "threading"})
    candidates = [name for name in candidates if find(name) is None]
    tries = "".join(
        f"try:\n    import {name}\n    print({name!r})\nexcept ImportError:\n    pass\n"
        for name in candidates
    )
    assert run_trial(tries, seconds=1.0).printed == []


def _stub_modules() -> set[str]:
    """Give the modules that the published stubs of this family of boards know."""
    from importlib.metadata import files

    paths = [*(files("micropython-esp32-stubs") or ())]
    names = {path.parts[0].removesuffix(".pyi") for path in paths if path.suffix == ".pyi"}
    return {name for name in names if name.isidentifier() and name[0] != "_"}


def test_shims_are_told_with_call_and_words() -> None:
    entry = find("time.sleep_ms")
    assert entry and entry.call == "sleep_ms(ms)" and entry.words.startswith("Wait for")
    made = find("machine.PWM")
    assert made and made.kind == "class" and "duty_u16" in made.call
    assert find("machine.Pin.OUT") and find("machine.Pin.value")


def test_names_that_only_a_computer_has_are_not_offered() -> None:
    # MicroPython documents no such names for these modules (library reference, read).
    for name in ("math.dist", "json.JSONDecodeError", "time.perf_counter", "random.gauss"):
        assert find(name) is None, name
    for name in ("math.sin", "json.loads", "time.ticks_diff", "random.randint", "struct.pack"):
        assert find(name), name


def test_old_names_of_modules_mean_the_same() -> None:
    assert find("utime.sleep_ms") == find("time.sleep_ms") is not None
    assert find("umath") is None and "utime" not in modules()


def test_private_names_of_shims_stay_private() -> None:
    assert not [name for name in modules() if name.startswith("_")]
    assert find("machine._freq") is None


if __name__ == "__main__":
    COMMON.write_text(json.dumps(asked(), indent=1) + "\n", encoding="utf-8")
    print(f"{COMMON.name} is written.")
