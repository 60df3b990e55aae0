"""Shell: what a notebook's kernel says where its own words would not help.

Some things end in a page of traceback that is not about the learner's mistake: a board's line in an
ordinary cell, a name without its quotes, a word that the kit has not got, and a run that was
interrupted.  Each gets the kit's own words instead.
"""

from __future__ import annotations

import builtins
import inspect
import re
import sys
import traceback
from collections.abc import Mapping
from pathlib import Path
from types import FunctionType, MethodType, ModuleType, TracebackType
from typing import Any

from .board.names import names_of
from .board_files import FLASH
from .catalogue import modules
from .errors import KitError, nearest
from .first_line import meant_name, nearly

__all__ = [
    "NOT_HERE", "covered", "explain_to", "miswritten", "not_of_the_kit", "of_a_program",
    "of_the_board", "of_the_kit", "unquoted", "without_brackets",
]  # fmt: skip

_KIT = Path(__file__).resolve().parent.parent
_PACKAGES = ("robotsim", "checks")
_FETCHED = (
    "PINS", "TASKS", "Whose", "check", "export", "math", "pins_of", "ready", "replay", "run",
)  # fmt: skip
"""What lessons fetch besides what the packages offer for pictures, radio and playground."""
_ASKED_FOR = ("aboard", "back", "earlier", "make_table", "remove", "run_trial", "take")
"""What no lesson fetches by itself."""
NOT_HERE: dict[str, KitError] = {}
"""The kit's words that are not to be had where this kernel runs, each with what is said of it."""
_OF_PROGRAMS = (
    "run", "back", "earlier", "remove", "take", "ready", "export", "aboard", "live",
)  # fmt: skip
_BY_NAME = (*_OF_PROGRAMS, "check", "own_table", "open_table", "make_table")
"""What learners call with a name in quotes."""
_IMPORT = re.compile(r"cannot import name '(\w+)'")
_SLIDERS = ("slide_", "show_")
_CALLED_WITH = {
    "replay": "replay(made), after made = run(...); or run(..., replay=True) at once",
    "ask": 'ask(made, "within 5 cm of the dock"), after made = run(...)',
    "show": "run(...) as the last line of its cell shows it",
}
"""What is no part of a recording, and is asked of it otherwise."""
_NOT_CALLABLE = re.compile(r"'(\w+)' object is not callable")
_BAD_CALL = re.compile(r"(\w+)\(\) (?:takes|got|missing) ")
_BARE = re.compile(r"""\s*(\w+)[ \t]+(["']?)([\w./-]+)\2\s*$""")
_AFRESH = (
    "run the cell near the top of this notebook that has {} in an import line, then this one again."
)
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
        first = _AFRESH.format(word)
        return str(KitError(
            f"This notebook's kernel does not know {word}: it was started anew since it was"
            " fetched, or it never was.",
            where="an ordinary cell",
            hint=f"`from robotsim import {word}` first." if word in _ASKED_FOR else first,
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


def of_the_kit(fault: BaseException) -> str | None:
    """Give the name that an exception missed and that the kit has for notebooks, or None."""
    if not isinstance(fault, NameError):
        return None
    name = fault.name or ""
    return name if name in _known() or name.startswith(_SLIDERS) else None


def _known() -> set[str]:
    """Give the kit's names for notebooks."""
    from . import playground, radio, show

    return {*playground.__all__, *radio.__all__, *show.__all__, *_FETCHED, *_ASKED_FOR, *NOT_HERE}


def covered(fault: BaseException, row: str, values: Mapping[str, object]) -> KitError | None:
    """Say that a name of the kit has another value, where the line that failed calls it.

    Args:
        fault: What was raised.
        row: The line.
        values: The notebook's own names.
    """
    if not isinstance(fault, TypeError):
        return None
    called = [name for name in re.findall(r"(?<![\w.])(\w+)\(", row) if name in _known()]
    kind, own = _NOT_CALLABLE.match(str(fault)), _BAD_CALL.match(str(fault))
    for name in called:
        value = values.get(name)
        if kind and kind[1] == type(value).__name__:
            what = f"{name} is {str(repr(value))[:40]} in this notebook"
        elif own and own[1] == name and getattr(value, "__module__", "") == "__main__":
            what = f"{name} is a function of your own in this notebook"
        else:
            continue
        again = f"`from robotsim import {name}`." if name in _ASKED_FOR else _AFRESH.format(name)
        return KitError(f"{what}: so the kit's {name} is covered.", where=row.strip(),
                        hint=f"give yours another name; then {again}")  # fmt: skip
    return None


def miswritten(fault: BaseException, row: str) -> KitError | None:
    """Name the word that a capital letter, or a small one, has hidden; None for others."""
    if not isinstance(fault, NameError) or not fault.name:
        return None
    plain = {word.lower(): word for word in ("True", "False", "None", *_known())}
    meant = plain.get(fault.name.lower())
    if meant is None or meant == fault.name:
        return None
    return KitError(f"There is no {fault.name}: small letters and capitals are not the same.",
                    where=row.strip(), hint=f"did you mean {meant}?")  # fmt: skip


def of_a_program(fault: BaseException, board: Mapping[str, str], magic: str) -> KitError | None:
    """Say that the name that was missed is given in a program; None where it is in none.

    Args:
        fault: What was raised.
        board: The files on the board.
        magic: What a program's cell begins with.
    """
    if not isinstance(fault, NameError) or not fault.name:
        return None
    given = re.compile(rf"^\s*(?:def\s+)?{re.escape(fault.name)}\s*(?:=(?!=)|\()", re.M)
    file = next((file for file, text in board.items() if given.search(text)), None)
    if file is None:
        return None
    return KitError(
        f"{fault.name} belongs to {file}, which is on the board; this cell runs on your computer.",
        where="an ordinary cell, which does not begin with " + magic,
        hint=f"is this the rest of {file}? A program is one cell: put these lines below its last"
        f" one, in the cell that begins with `{magic} {file}`.",
    )


def without_brackets(row: str, magic: str) -> KitError | None:
    """Say that a call of the kit has no brackets; None for another line.

    Args:
        row: The line.
        magic: What a program's cell begins with.
    """
    found = _BARE.match(row)
    if not found:
        return None
    call, written = found[1], found[3]
    if call == magic.lstrip("%"):
        return KitError("This cell does not put a program on the board.", where=row.strip(),
                        hint=f"did you mean `{magic} {meant_name(written)}`?")  # fmt: skip
    if call not in _BY_NAME:
        return None
    if call in _OF_PROGRAMS and not written.endswith(".py"):
        written += ".py"
    return KitError(f"{call} stands without brackets.", where=row.strip(),
                    hint=f'write {call}("{written}").')  # fmt: skip


def _values(trace: TracebackType) -> Mapping[str, object]:
    """Give the names that the line which failed could see."""
    last = trace
    while last.tb_next:
        last = last.tb_next
    return {**last.tb_frame.f_globals, **last.tb_frame.f_locals}


def unquoted(fault: BaseException, row: str) -> KitError | None:
    """Say that a name lacks its quotes, where the line that failed calls the kit with it."""
    if not isinstance(fault, NameError) or not fault.name:
        return None
    called = rf"(?:\b({'|'.join(_BY_NAME)})\(|\btable=|\bbeside=\()"
    found = re.search(rf"{called}\s*({re.escape(fault.name)}(?:\.\w+)*)\s*[,)]", row)
    if not found:
        return None
    call, written = found[1], found[2]
    if call in _OF_PROGRAMS and not written.endswith(".py"):
        written += ".py"
    return KitError(
        f"{found[2]} stands without quotes: so it is looked for among this notebook's values.",
        where=row.strip(),
        hint=f'write "{written}"' + (f', as in {call}("{written}").' if call else "."),
    )


def not_of_the_kit(fault: BaseException) -> KitError | None:
    """Name what was meant where something of the kit was asked for what it has not got."""
    if isinstance(fault, ImportError) and not isinstance(fault, ModuleNotFoundError):
        found = _IMPORT.match(str(fault))
        owner: object = sys.modules.get(fault.name or "")
        asked = found[1] if found else ""
    elif isinstance(fault, AttributeError):
        owner, asked = fault.obj, fault.name or ""
    else:
        return None
    module = isinstance(owner, ModuleType)
    home = owner.__name__ if isinstance(owner, ModuleType) else type(owner).__module__
    if not asked or home.partition(".")[0] not in _PACKAGES:
        return None
    known = [name for name in getattr(owner, "__all__", dir(owner)) if name[0] != "_"]
    what = f"The module {home}" if module else f"A {type(owner).__name__}"
    guess = nearest(asked, known)
    if not module and type(owner).__name__ == "Recording" and asked in _CALLED_WITH:
        return KitError(f"{what} has no {asked}.", hint=f"write {_CALLED_WITH[asked]}.")
    if guess is None:
        return KitError(f"{what} has no {asked}.", hint=f"it has: {', '.join(sorted(known))}.")
    call = not module and callable(getattr(type(owner), guess, None))
    hint = f"did you mean {'' if module else '.'}{guess}{'()' * call}?"
    return KitError(f"{what} has no {asked}.", hint=hint)


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


def _name_what_is_not_called(shell: Any) -> None:
    """Let a function of the kit that a cell's last line only names say that it was not called."""
    formatter = shell.display_formatter.formatters["text/plain"]

    def show_for(kind: type) -> None:
        def shown(thing: Any, printer: Any, cycle: bool) -> None:
            if str(thing.__module__).partition(".")[0] in _PACKAGES:
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
    return any(Path(name).is_relative_to(_KIT / package) for package in _PACKAGES)
