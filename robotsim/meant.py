"""Meant: what a line of an ordinary cell was meant to be, where it ended in Python's own words.

Each function looks at one kind of slip, and gives None for what is none of that kind.
"""

from __future__ import annotations

import builtins
import re
import sys
from collections.abc import Mapping
from types import ModuleType

from .board.names import names_of
from .catalogue import modules
from .errors import KitError, nearest
from .first_line import meant_name

__all__ = [
    "AFRESH", "ASKED_FOR", "NOT_HERE", "PACKAGES", "covered", "miswritten", "not_of_the_kit",
    "of_a_program", "of_the_board", "of_the_kit", "unquoted", "without_brackets",
]  # fmt: skip

PACKAGES = ("robotsim", "checks")
_FETCHED = (
    "PINS", "TASKS", "Whose", "check", "export", "math", "pins_of", "ready", "replay", "run",
)  # fmt: skip
"""What lessons fetch besides what the packages offer for pictures, radio and playground."""
ASKED_FOR = ("aboard", "back", "earlier", "make_table", "remove", "run_trial", "take")
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
_NOT_FIT = re.compile(r"'(\w+)' object is not (?:callable|subscriptable)")
_BAD_CALL = re.compile(r"(\w+)\(\) (?:takes|got|missing) ")
_BARE = re.compile(r"""\s*(\w+)[ \t]+(["']?)([\w./-]+)\2\s*$""")
_OF_CHECKS = ("TASKS", "check")
_ANOTHER = {"run": ", as in made = run(...)", "check": ", as in card = check(...)"}
"""How the lessons name what a call gives."""
AFRESH = (
    "run the cell near the top of this notebook that has {} in an import line, then this one again."
)
_TIME = re.compile(r"module 'time' has no attribute '(\w+)'")


def of_the_kit(fault: BaseException) -> str | None:
    """Give the name that an exception missed and that the kit has for notebooks, or None."""
    if not isinstance(fault, NameError):
        return None
    name = fault.name or ""
    return name if name in _known() or name.startswith(_SLIDERS) else None


def _known() -> set[str]:
    """Give the kit's names for notebooks."""
    from . import playground, radio, show

    return {*playground.__all__, *radio.__all__, *show.__all__, *_FETCHED, *ASKED_FOR, *NOT_HERE}


def covered(fault: BaseException, row: str, values: Mapping[str, object]) -> KitError | None:
    """Say that a name of the kit has another value, where the line that failed uses it.

    Args:
        fault: What was raised.
        row: The line.
        values: The notebook's own names.
    """
    if not isinstance(fault, TypeError):
        return None
    used = [name for name in re.findall(r"(?<![\w.])(\w+)[(\[]", row) if name in _known()]
    kind, own = _NOT_FIT.match(str(fault)), _BAD_CALL.match(str(fault))
    for name in used:
        value = values.get(name)
        if kind and kind[1] == type(value).__name__:
            what = f"{name} is {_described(value)} in this notebook"
        elif own and own[1] == name and getattr(value, "__module__", "") == "__main__":
            what = f"{name} is a function of your own in this notebook"
        else:
            continue
        return KitError(f"{what}: so the kit's {name} is covered.", where=row.strip(),
                        hint=f"run `{_fetched(name)}` to have it again, and give yours another "
                        f"name{_ANOTHER.get(name, '')}.")  # fmt: skip
    return None


def _described(value: object) -> str:
    """Say what a value is; one of the kit's own is known by what gave it."""
    gave = {"Recording": "the recording that a run gave", "Scorecard": "the card of a check"}
    text = " ".join(repr(value).split())
    return gave.get(type(value).__name__) or (text if len(text) <= 40 else f"{text[:40]}...")


def _fetched(name: str) -> str:
    """Give the line that fetches a name of the kit."""
    from . import playground, radio, show

    homes = {"checks": _OF_CHECKS, "robotsim.playground": playground.__all__,
             "robotsim.radio": radio.__all__, "robotsim.show": show.__all__}  # fmt: skip
    home = next((home for home, names in homes.items() if name in names), "robotsim")
    return f"import {name}" if name == "math" else f"from {home} import {name}"


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
    if not asked or home.partition(".")[0] not in PACKAGES:
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
