"""Shell: what a notebook's kernel says where its own words would not help.

Some things end in a page of traceback that is not about the learner's mistake: a board's line in an
ordinary cell, a name without its quotes, a word that the kit has not got, and a run that was
interrupted.  Each gets the kit's own words instead.
"""

from __future__ import annotations

import inspect
import traceback
from collections.abc import Mapping
from pathlib import Path
from types import FunctionType, MethodType, TracebackType
from typing import Any

from .board_files import FLASH
from .errors import KitError
from .first_line import nearly
from .meant import (
    AFRESH,
    ASKED_FOR,
    NOT_HERE,
    PACKAGES,
    covered,
    miswritten,
    not_of_the_kit,
    of_a_program,
    of_the_board,
    of_the_kit,
    unquoted,
    without_brackets,
)

__all__ = ["explain_to"]

_KIT = Path(__file__).resolve().parent.parent


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
        if told := nearly(str(info.raw_cell), magic):
            print(told)

    shell.events.register("pre_run_cell", look_at)
    _name_what_is_not_called(shell)
    told_of = (ImportError, NameError, AttributeError, TypeError, SyntaxError, KeyboardInterrupt)
    shell.set_custom_exc(told_of, explain)


def _words(fault: BaseException, trace: TracebackType, magic: str) -> list[str] | None:
    """Give the lines for an exception; None where Python's own words are the right ones."""
    if isinstance(fault, KeyboardInterrupt):
        frames = traceback.extract_tb(trace)
        inside = [frame for frame in frames if _is_kits(frame.filename) or _asks(frame)]
        return ["Stopped by you. Nothing is lost: run the cell again."] if inside else None
    if isinstance(fault, SyntaxError):
        bare = without_brackets(fault.text or "", magic)
        return str(bare).splitlines() if bare else None
    if not _in_the_cell(trace):
        return None
    if (word := of_the_kit(fault)) is not None:
        if word in NOT_HERE:
            return str(NOT_HERE[word]).splitlines()
        first = AFRESH.format(word)
        return str(KitError(
            f"This notebook's kernel does not know {word}: it was started anew since it was"
            " fetched, or it never was.",
            where="an ordinary cell",
            hint=f"`from robotsim import {word}` first." if word in ASKED_FOR else first,
        )).splitlines()  # fmt: skip
    row = traceback.extract_tb(trace)[-1].line or ""
    told = unquoted(fault, row) or not_of_the_kit(fault) or miswritten(fault, row)
    if told := told or covered(fault, row, _values(trace)):
        return str(told).splitlines()
    name = of_the_board(fault)
    if name is None:
        part = of_a_program(fault, FLASH, magic)
        return str(part).splitlines() if part else None
    trouble = KitError(
        f"{name} is there on the tug's board; this cell runs on your computer.",
        where="an ordinary cell, which does not begin with " + magic,
        hint=f"make `{magic} my_program.py` the first line of this cell, and run that program"
        ' with run("my_program.py") in the next.',
    )
    return str(trouble).splitlines()


def _values(trace: TracebackType) -> Mapping[str, object]:
    """Give the names that the line which failed could see."""
    last = trace
    while last.tb_next:
        last = last.tb_next
    return {**last.tb_frame.f_globals, **last.tb_frame.f_locals}


def _name_what_is_not_called(shell: Any) -> None:
    """Let a function of the kit that a cell's last line only names say that it was not called."""
    formatter = shell.display_formatter.formatters["text/plain"]

    def show_for(kind: type) -> None:
        def shown(thing: Any, printer: Any, cycle: bool) -> None:
            if str(thing.__module__).partition(".")[0] in PACKAGES:
                dot = "." if kind is MethodType else ""
                printer.text(
                    f"{dot}{thing.__name__} is only named here. Try: its brackets are missing, "
                    f"{dot}{thing.__name__}{_brackets(thing)}."
                )
            elif usual is not None:
                usual(thing, printer, cycle)
            else:
                printer.text(repr(thing))

        usual = formatter.for_type(kind, shown)

    for kind in (FunctionType, MethodType):
        show_for(kind)


def _brackets(thing: Any) -> str:
    taken = inspect.signature(thing).parameters.values()
    return "(...)" if any(one.default is one.empty for one in taken) else "()"


def _asks(frame: traceback.FrameSummary) -> bool:
    """Tell whether the kernel was waiting there for what `input()` asks of a person."""
    return "ipykernel" in frame.filename and "input" in frame.name


def _in_the_cell(trace: TracebackType) -> bool:
    """Tell whether it was raised by a cell's own line, not deep in somebody's library."""
    frames = traceback.extract_tb(trace)
    return bool(frames) and not _is_file(frames[-1].filename)


def _is_file(name: str) -> bool:
    """Tell whether code comes from a file of the disk that is no kernel's cell."""
    return "ipykernel" not in name and name.endswith(".py") and "importlib" not in name


def _is_kits(name: str) -> bool:
    return any(Path(name).is_relative_to(_KIT / package) for package in PACKAGES)
