"""Commands: what `python3 robotsim ready main.py`, `python3 robotsim plug` ... do."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Sequence
from pathlib import Path

from .arguments import Parser
from .cable.commands import COMMANDS, add_commands
from .errors import KitError
from .onto import export, ready
from .onto.files import program_files
from .origin import Whose
from .table import TABLES

__all__ = ["in_a_terminal", "main"]

_WHAT = "What goes onto a real board, and speaks with one; the simulated tug is one, too."
_TYPED = {"run=False": "--only-copy"}
"""What a notebook says, and a terminal otherwise than by an option of that name."""
_TUG = "the tug.json of the tug that it is for, which may be wired otherwise"


def main(argv: Sequence[str] | None = None) -> int:
    """Carry out a command; 1 means that the program is not ready or something was wrong."""
    parser = Parser(prog="python3 robotsim", description=_WHAT)
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    looked = commands.add_parser("ready", help="say what would fail on a real board")
    looked.add_argument("program", type=Path, help="the file that the board would start")
    looked.add_argument("--table", default="basin", choices=sorted(TABLES))
    looked.add_argument("--seconds", type=float, default=10.0, help="simulated time to run it for")
    looked.add_argument("--serial", type=int, default=None, help="the tug's serial number")
    looked.add_argument("--tug", type=Path, default=None, metavar="FILE", help=_TUG)
    looked.add_argument("--programs-may-reach-this-computer", action="store_true",
                        help="you wrote it yourself: run it without keeping it in")  # fmt: skip
    written = commands.add_parser("export", help="write a folder that is copied to a board")
    written.add_argument("program", type=Path, help="the file that the board is to start")
    written.add_argument("folder", type=Path, help="where to write")
    written.add_argument("--replace", action="store_true", help="replace programs that are there")
    written.add_argument("--tug", type=Path, default=None, metavar="FILE", help=_TUG)
    add_commands(commands)
    given = parser.parse_args(_joined(sys.argv[1:] if argv is None else argv) or ["--help"])
    try:
        if given.command in COMMANDS:
            return COMMANDS[given.command](given)
        files = program_files(given.program)
        name = given.program.name
        if given.command == "export":
            print(export(name, given.folder.absolute(), files=files, replace=given.replace,
                         tug=given.tug))  # fmt: skip
            return 0
        whose = Whose.OWN if given.programs_may_reach_this_computer else Whose.STRANGER
        report = ready(
            name, files=files, table=given.table, seconds=given.seconds, serial=given.serial,
            whose=whose, tug=given.tug,
        )  # fmt: skip
        print(report)
        return 0 if report.ready else 1
    except KitError as fault:
        print(in_a_terminal(f"{fault}", commands.choices[given.command]), file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return 130


def in_a_terminal(text: str, command: argparse.ArgumentParser) -> str:
    """Give a sentence of a notebook's as a terminal has it: `replace=True` as `--replace`."""

    def typed(found: re.Match[str]) -> str:
        option = "--" + found[1].replace("_", "-")
        if option not in command.format_help():
            return _TYPED.get(found[0], found[0])
        return option if found[2] == "True" else f"{option} {found[2]}"

    return re.sub(r"\b([a-z_]+)=(\w+|'[^']*')", typed, text)


def _joined(words: Sequence[str]) -> list[str]:
    """Join an option with figures that begin with a minus: else they are taken for an option."""
    found: list[str] = []
    for word in words:
        if re.match(r"-[.\d].*,", word) and found and found[-1].startswith("--"):
            found[-1] += f"={word}"
        else:
            found.append(word)
    return found
