"""Shell: what a notebook's kernel says where its own words would not help.

Two things end in a page of traceback that is not about the learner's mistake: a board's line in an
ordinary cell, and a run that was interrupted.  Each gets the kit's own words instead.
"""

from __future__ import annotations

import builtins
import re
import traceback
from pathlib import Path
from types import TracebackType
from typing import Any

from .board.names import names_of
from .catalogue import modules
from .errors import KitError

__all__ = ["NOT_HERE", "explain_to", "of_the_board", "of_the_kit"]

_KIT = Path(__file__).resolve().parent.parent
_PACKAGES = ("robotsim", "checks")
_FETCHED = (
    "PINS", "TASKS", "Whose", "check", "export", "math", "pins_of", "ready", "replay", "run",
)  # fmt: skip
"""What lessons fetch besides what the packages offer for pictures, radio and playground."""
_ASKED_FOR = ("aboard", "back", "earlier", "make_table", "run_trial", "take")
"""What no lesson fetches by itself."""
NOT_HERE: dict[str, KitError] = {}
"""The kit's words that are not to be had where this kernel runs, each with what is said of it."""
_SLIDERS = ("slide_", "show_")
_NEARLY = re.compile(r"^\s*%+[ ]*program", re.IGNORECASE | re.MULTILINE)
_TIME = re.compile(r"module 'time' has no attribute '(\w+)'")


def explain_to(shell: Any, magic: str) -> None:
    """Let a kernel explain what is for the board alone, and end an interrupted run in a line.

    Args:
        shell: IPython's shell.
        magic: What a program's cell begins with.
    """

    def explain(
        shell: Any, kind: type[BaseException], fault: BaseException, trace: TracebackType,
        tb_offset: int | None = None,
    ) -> list[str]:  # fmt: skip
        told = _words(fault, trace, magic)
        if told is None:
            shell.showtraceback((kind, fault, trace), tb_offset=tb_offset)
        else:
            shell._showtraceback(kind, fault, told)
        return told or []

    def look_at(info: Any) -> None:
        cell = str(info.raw_cell).lstrip()
        if _NEARLY.search(cell) and not cell.startswith(f"{magic} "):
            print(KitError(
                "This cell does not put a program on the board.", where="its first line",
                hint=f"`{magic} my_program.py` has to be the very first line, written just so;"
                " comments come below it.",
            ))  # fmt: skip

    shell.events.register("pre_run_cell", look_at)
    shell.set_custom_exc((ImportError, NameError, AttributeError, KeyboardInterrupt), explain)


def _words(fault: BaseException, trace: TracebackType, magic: str) -> list[str] | None:
    """Give the lines for an exception; None where Python's own words are the right ones."""
    if isinstance(fault, KeyboardInterrupt):
        inside = [frame for frame in traceback.extract_tb(trace) if _is_kits(frame.filename)]
        return ["Stopped by you. Nothing is lost: run the cell again."] if inside else None
    if not _in_the_cell(trace):
        return None
    if (word := of_the_kit(fault)) is not None:
        if word in NOT_HERE:
            return str(NOT_HERE[word]).splitlines()
        first = "run the first code cell of this notebook, then this one again."
        return str(KitError(
            f"This notebook's kernel does not know {word}: it was started anew since it was"
            " fetched, or it never was.",
            where="an ordinary cell",
            hint=f"`from robotsim import {word}` first." if word in _ASKED_FOR else first,
        )).splitlines()  # fmt: skip
    name = of_the_board(fault)
    if name is None:
        return None
    trouble = KitError(
        f"{name} is there on the tug's board; this cell runs on your computer.",
        where="an ordinary cell, which does not begin with " + magic,
        hint=f"make `{magic} my_program.py` the first line of this cell, and run that program"
        ' with run("my_program.py") in the next.',
    )
    return str(trouble).splitlines()


def of_the_kit(fault: BaseException) -> str | None:
    """Give the name that an exception missed and that the kit has for notebooks, or None."""
    if not isinstance(fault, NameError):
        return None
    from . import playground, radio, show

    known = {*playground.__all__, *radio.__all__, *show.__all__, *_FETCHED, *_ASKED_FOR,
             *NOT_HERE}  # fmt: skip
    name = fault.name or ""
    return name if name in known or name.startswith(_SLIDERS) else None


def of_the_board(fault: BaseException) -> str | None:
    """Give the name that an exception missed here and that the board has; None for others."""
    if isinstance(fault, ModuleNotFoundError):
        head = (fault.name or "").split(".")[0]
        heads = {name.split(".")[0] for name in modules()}
        return f"The module {head}" if head in heads else None
    if isinstance(fault, NameError):
        name = fault.name or ""
        known = (names_of("machine") | {"NeoPixel"}) - set(dir(builtins))
        return name if name in known else None
    found = _TIME.fullmatch(str(fault)) if isinstance(fault, AttributeError) else None
    return f"time.{found[1]}" if found and found[1] in names_of("time") else None


def _in_the_cell(trace: TracebackType) -> bool:
    """Tell whether it was raised by a cell's own line, not deep in somebody's library."""
    frames = traceback.extract_tb(trace)
    return bool(frames) and not _is_file(frames[-1].filename)


def _is_file(name: str) -> bool:
    """Tell whether code comes from a file of the disk that is no kernel's cell."""
    return "ipykernel" not in name and name.endswith(".py") and "importlib" not in name


def _is_kits(name: str) -> bool:
    return any(Path(name).is_relative_to(_KIT / package) for package in _PACKAGES)
