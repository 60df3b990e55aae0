"""Every program that the project holds, and whether both engines leave the same recording of it."""

from __future__ import annotations

import ast
import functools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import nbformat

from checks import TASKS
from checks.course.regions import solved
from robotsim import Recording, run_trial
from robotsim.notebook import OWN_SERIAL, program_cell

ROOT = Path(__file__).parents[2]
PROGRAMS = ROOT / "tests" / "programs"
PAGE = PROGRAMS / "PARITY.md"
ENGINES = ("cpython", "micropython")
SILENCE_S = 1.0


@dataclass(frozen=True, eq=False)  # by identity: a key of dicts
class Trial:
    """A program with all that its trial needs."""

    group: str
    name: str
    files: Mapping[str, str]
    program: str
    options: Mapping[str, Any] = field(default_factory=dict)

    def run(self, engine: str, most_s: float) -> Recording:
        options = dict(self.options)
        options["seconds"] = min(options.get("seconds", 4.0), most_s)
        return run_trial(
            self.files, program=self.program, engine=engine, silence_s=SILENCE_S, **options
        )

    def difference(self, most_s: float = 600.0) -> str:
        """Give where the two engines' recordings part, "" if they are equal."""
        one, other = (self.run(engine, most_s) for engine in ENGINES)
        if one == other:
            return ""
        for mine, theirs in zip(one.events, other.events, strict=False):
            if mine != theirs:
                return f"{mine} | {theirs}"
        return f"{one.problem} | {other.problem}"


def beside(task: str) -> dict[str, str]:
    """Give the files that are on the board beside a task's program: those in its folder `with`."""
    paths = PROGRAMS.joinpath(*task.split("."), "with").glob("*.py")
    return {path.name: path.read_text(encoding="utf-8") for path in paths}


def of_task(task: str, name: str, text: str) -> Iterator[Trial]:
    """Give the trials of a task with a program: all its runs."""
    asked = TASKS[task]
    files = {**beside(task), asked.program: text}
    for number, run in enumerate(asked.runs):
        options = {"seconds": run.seconds, "table": run.table, "seed": run.seed, "start": run.start}
        options["serial"] = OWN_SERIAL if run.serial is None else run.serial
        if getattr(run, "air", None) is not None:
            options["air"] = run.air
        title = name if len(asked.runs) == 1 else f"{name} (run {number + 1})"
        yield Trial(task, title, files, asked.program, options)


@functools.cache
def from_programs() -> tuple[Trial, ...]:
    """Give the trials of all programs that stand in tests/programs, but for the hostile ones."""
    found: list[Trial] = []
    for path in sorted(PROGRAMS.rglob("*.py")):
        if path.stem == "slips":  # edits of programs, not a program
            continue
        group = ".".join(path.relative_to(PROGRAMS).parts[:-1])
        text = path.read_text(encoding="utf-8")
        if group in TASKS:
            found += of_task(group, path.stem, text)
        elif group in ("examples", "speed"):
            options = {"seconds": 4.0, "serial": 7, "seed": 3, "table": "basin"}
            options["table"] = "quay" if group == "speed" else "basin"
            found.append(Trial(group, path.stem, {path.name: text}, path.name, options))
    return tuple(found)


@functools.cache
def from_lessons() -> tuple[Trial, ...]:
    """Give the trials of the lessons: every `run` and `check` of a notebook, as it stands there.

    A notebook in lessons/ holds the solutions, so this is every solution and worked example.
    """
    found: list[Trial] = []
    for path in sorted((ROOT / "lessons").glob("*/*.ipynb")):
        group, files = f"lesson {path.stem}", dict[str, str]()
        for cell in nbformat.read(path, as_version=4).cells:
            if cell.cell_type != "code":
                continue
            program = program_cell(cell.source)
            if program:
                files[program[0]] = solved(program[1])
            else:
                found += _called(group, cell.source, dict(files))
    return tuple(found)


def _called(group: str, source: str, files: dict[str, str]) -> Iterator[Trial]:
    """Give the trials that a cell asks for."""
    for node in ast.walk(ast.parse(source.replace("%", "#"))):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name) or not node.args:
            continue
        name = node.args[0].value if isinstance(node.args[0], ast.Constant) else ""
        if node.func.id == "check" and name in TASKS and TASKS[name].program in files:
            for trial in of_task(name, f"check {name}", files[TASKS[name].program]):
                yield Trial(group, trial.name, files, trial.program, trial.options)
        elif node.func.id == "run" and name in files:
            options = {"seconds": 5.0, "serial": OWN_SERIAL, "table": "basin"}
            for word in node.keywords:
                if word.arg in ("seconds", "serial", "table", "seed", "start"):
                    options[word.arg] = ast.literal_eval(word.value)
            yield Trial(group, f"run {name}", files, str(name), options)


def table(results: Mapping[Trial, str]) -> str:
    """Write what came of it: a row a group, and below it whatever differed."""
    rows = [
        "# One program, two engines", "",
        "Generated by `python3 tests --long tests/robotsim/test_engines.py`; not to be edited.", "",
        "Each program ran under CPython and under the real MicroPython interpreter, on the same",
        "tug and table with the same seed. Equal: the recordings are, to the last bit.", "",
        "| programs | trials | cpython = micropython | differing |", "| --- | ---: | ---: | --- |",
    ]  # fmt: skip
    groups: dict[str, list[Trial]] = {}
    for trial in results:
        groups.setdefault(trial.group, []).append(trial)
    for group, trials in groups.items():
        apart = [trial.name for trial in trials if results[trial]]
        equal = len(trials) - len(apart)
        rows.append(f"| {group} | {len(trials)} | {equal} | {', '.join(apart) or 'none'} |")
    equal = sum(not apart for apart in results.values())
    rows.append(f"| **all** | **{len(results)}** | **{equal}** | |")
    return "\n".join(rows) + "\n"
