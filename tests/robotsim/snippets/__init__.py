"""Short programs of the kind that learners write, each with what the board's interpreter says.

`by_hand.txt` and `drawn.py` are where they come from, `outputs.json` is the outcome; it is made
by `python -m tests.robotsim.snippets` (with the real interpreter).  A reason in it is kept.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from pathlib import Path

from robotsim import Whose, run_trial

__all__ = ["KEPT", "Snippet", "every_program", "kept", "outputs"]

KEPT = Path(__file__).parent / "outputs.json"
OF_EACH_KIND = 30
_AT_ONCE = 120
_MAIN = """
import io, sys
for number in range({count}):
    print("#", number)
    try:
        __import__("part_%03d" % number)
    except BaseException as fault:
        told = io.StringIO()
        sys.print_exception(fault, told)
        print("! " + told.getvalue().strip().split("\\n")[-1])
"""
_ADDRESS = re.compile(r"\b3ff[b-f][0-9a-f]{4}\b|\b107[0-9]{7}\b")


@dataclass(frozen=True)
class Snippet:
    """A program and what came of it.

    Attributes:
        program: Its text.
        board: What the real interpreter printed; an exception that ended it stands after a `!`.
        here: What CPython printed; the same unless told.
        why: Why the two differ, if they do.
    """

    program: str
    board: str
    here: str
    why: str = ""


def outputs(programs: list[str], engine: str) -> list[str]:
    """Run programs, each as a module of its own, and give what each printed."""
    found: list[str] = []
    for start in range(0, len(programs), _AT_ONCE):
        found += _outputs(programs[start : start + _AT_ONCE], engine)
    return found


def _outputs(programs: list[str], engine: str) -> list[str]:
    files = {f"part_{n:03d}.py": text for n, text in enumerate(programs)}
    files["main.py"] = _MAIN.format(count=len(programs))
    recording = run_trial(files, seconds=20.0, engine=engine, whose=Whose.KIT)
    assert recording.ended == "finished", recording.problem
    parts: list[list[str]] = []
    for _, line in recording.printed:
        if line == f"# {len(parts)}":
            parts.append([])
        else:
            parts[-1].append(line)
    # Which address is the next one hangs on which programs stand before it.
    return [_ADDRESS.sub("ADDRESS", _unplaced("\n".join(part))) for part in parts]


def _unplaced(text: str) -> str:
    return re.sub(r"part_\d+", "part", text)


def every_program() -> list[str]:
    """Give all programs, by hand and drawn."""
    from .drawn import drawn

    lines = (Path(__file__).parent / "by_hand.txt").read_text(encoding="utf-8").splitlines()
    by_hand = [_unescaped(line) for line in lines if line]
    return list(dict.fromkeys([*by_hand, *drawn(OF_EACH_KIND)]))


def _unescaped(line: str) -> str:
    line = line.replace("\\\\", "\0").replace("\\n", "\n").replace("\\t", "\t")
    return line.replace("\0", "\\")


def kept() -> list[Snippet]:
    """Give the snippets as they are kept."""
    rows = json.loads(KEPT.read_text(encoding="utf-8"))
    return [
        Snippet(row["program"], row["board"], row.get("here", row["board"]), row.get("why", ""))
        for row in rows
    ]
