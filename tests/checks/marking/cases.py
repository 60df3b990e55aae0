"""What the hostile and broken submissions are made of: see the files in hostile/.

Each begins as a good piece of work, the lesson's own solutions in a copy that was handed out, and
spoils it in one way.  A file there says in its first line what it is, and holds

- `make(nb)`: the notebook as plain values, changed in place or given anew, or bytes;
- `POINTS`: the points that must come of it, by cell; what is not named earns all;
- `LINE`: words that must stand in the line for a person, who then marks it by hand;
- `NOTE`: words that must stand among what was put in order;
- `beside(folder)`: puts more files beside the notebook.

Programs that try one thing each, once they have found their way out, are rows of `reaches`.
"""

from __future__ import annotations

import functools
import importlib.util
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from checks import TASKS
from checks.course.files import read
from checks.course.lessons import find_lessons
from checks.course.regions import solved
from robotsim.notebook import program_cell
from tests.checks.marking.reaches import REACHES, Reach, program_of

LESSON = "lamps"
FULL = {id.replace(".", "-"): task.points for id, task in TASKS.items() if task.lesson == LESSON}
NOTHING = dict.fromkeys(FULL, 0.0)
SIGNAL = "lamps-signal"
"""Where most of them strike: the last of the programs, so that the others are untouched."""

REACH = """\
import sys
def _reach():
    return {name: value for name, value in print.__globals__.items() if type(value) is type(sys)}
_found = _reach()
os = _found.get("os") or _found["builtins"].__import__("os")
real = _found["builtins"].__import__
"""
"""The way from a program to the interpreter's own modules: the board's print was made there."""

Notebook = dict[str, Any]


@dataclass(frozen=True)
class Case:
    """One way to spoil a piece of work, and what must come of it."""

    name: str
    about: str
    make: Callable[[Notebook], Any]
    points: Mapping[str, float]
    line: str = ""
    note: str = ""
    beside: Callable[[Path], None] | None = None
    fields: Mapping[str, Any] = field(default_factory=dict)

    def data(self, good: bytes) -> bytes:
        """Give the file that is handed in."""
        nb = json.loads(good)
        made = self.make(nb)
        made = nb if made is None else made
        return made if isinstance(made, bytes) else json.dumps(made).encode()


def cases() -> list[Case]:
    """Give all of them."""
    found = []
    for path in sorted((Path(__file__).parent / "hostile").glob("*.py")):
        spec = importlib.util.spec_from_file_location(f"hostile_{path.stem}", path)
        assert spec is not None and spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        told = vars(module)
        about = (module.__doc__ or "").strip().splitlines()[0]
        points = {**FULL, **told.get("POINTS", {})}
        found.append(
            Case(path.stem, about, told["make"], points, told.get("LINE", ""),
                 told.get("NOTE", ""), told.get("beside"), told)
        )  # fmt: skip
    return found


def reaching(reaches: Sequence[Reach] = REACHES) -> list[Case]:
    """Give a submission for each of the things that a program may try."""
    own = Path(__file__)
    names = {"SECRET": str(own), "SPARE": str(own), "FOLDER": str(own.parent), "HOST": 1,
             "DATABASE": str(own), "KIT": str(own.parents[3])}  # fmt: skip
    return [
        Case(
            f"reach-{reach.name}", f"a program that tries to {reach.name.replace('-', ' ')}",
            functools.partial(program, text=program_of(reach, **names)), {**FULL, SIGNAL: 0.0},
        )
        for reach in reaches
    ]  # fmt: skip


def good_work(copy: bytes) -> bytes:
    """Give a good piece of work: the lesson's solutions in a copy that was handed out."""
    lesson = next(one for one in find_lessons() if one.id == LESSON)
    answers = {
        cell.metadata["nbgrader"]["grade_id"]: cell.source
        for cell in read(lesson.notebook).cells if cell.metadata.get("nbgrader", {}).get("solution")
    }  # fmt: skip
    nb = json.loads(copy)
    for cell in nb["cells"]:
        cell["source"] = "".join(cell["source"])
        name = name_of(cell)
        if name in answers and program_cell(answers[name]):
            head, _, body = answers[name].partition("\n")
            cell["source"] = f"{head}\n{solved(body).rstrip()}"
        elif cell["cell_type"] == "markdown" and name in answers:
            cell["source"] = "So that both sides can be told from afar."
    return json.dumps(nb).encode()


def name_of(cell: Notebook) -> str:
    return str(cell["metadata"].get("nbgrader", {}).get("grade_id", ""))


def cell(nb: Notebook, name: str) -> Notebook:
    """Give a cell by its name."""
    return next(one for one in nb["cells"] if name_of(one) == name)


def place(nb: Notebook, name: str) -> int:
    """Give a cell's place by its name."""
    return next(k for k, one in enumerate(nb["cells"]) if name_of(one) == name)


def program(nb: Notebook, text: str, name: str = SIGNAL) -> None:
    """Put another program into a task's cell."""
    one = cell(nb, f"{name}-program")
    head = one["source"].partition("\n")[0]
    one["source"] = f"{head}\n{text}"


def free(nb: Notebook, text: str, at: int = 1) -> None:
    """Put a code cell of the learner's own near the top."""
    nb["cells"].insert(
        at, {"cell_type": "code", "metadata": {}, "source": text, "outputs": [],
             "execution_count": None, "id": f"free{at}"}
    )  # fmt: skip


def answer(nb: Notebook) -> Notebook:
    """Give the cell of the written answer."""
    return next(
        c for c in nb["cells"]
        if c["cell_type"] == "markdown" and c["metadata"].get("nbgrader", {}).get("grade")
    )  # fmt: skip


def empty_work(nb: Notebook) -> None:
    """Take all solutions out."""
    for one in nb["cells"]:
        found = program_cell(one["source"])
        if found and name_of(one):
            one["source"] = f"%%program {found[0]}\n# nothing yet"
