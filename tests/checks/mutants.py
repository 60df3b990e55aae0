"""Mutants: wrong programs that a machine makes, so that nobody can tune a check to them.

Each differs from a right program in one place: a number, a sign, a comparison, the order of two
statements, a statement left out.  `python -m tests.checks.mutants TASK ...` runs a sample of them
on two tugs and two tables, and tells how many keep all points although what happened is not what
the right program does, and how many lose some with no cause named; without a task it runs those of
all and writes `tests/programs/MUTANTS.md`.  A mutant that leaves equal recordings has changed
nothing, and is not counted.
"""

from __future__ import annotations

import ast
import copy
import random
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from checks import TASKS, Scorecard, check

__all__ = ["Tally", "mutants", "tally"]

PLACES = ((7, 0), (131, 2))
"""Tug and variant of the tables on which each mutant is tried."""
_SCALES = (0.0, 0.5, 0.9, 1.1, 2.0)


def mutants(program: str) -> Iterator[tuple[str, str]]:
    """Go through (what was changed, the changed program), without repetition."""
    tree = ast.parse(program)
    seen = {ast.unparse(tree)}
    for number, node in enumerate(ast.walk(tree)):
        for what, change in _changes(node):
            other = copy.deepcopy(tree)
            place = next(n for k, n in enumerate(ast.walk(other)) if k == number)
            change(place)
            text = ast.unparse(ast.fix_missing_locations(other))
            if text not in seen:
                seen.add(text)
                line = getattr(node, "lineno", 0)
                yield f"line {line}: {what}" if line else what, text


Change = Callable[[ast.AST], None]


def _changes(node: ast.AST) -> Iterator[tuple[str, Change]]:
    if isinstance(node, ast.Constant) and type(node.value) in (int, float) and node.value:
        for scale in _SCALES:
            value = type(node.value)(node.value * scale)
            yield f"{node.value} becomes {value}", _setter("value", value)
        yield f"{node.value} becomes {-node.value}", _setter("value", -node.value)
    elif isinstance(node, ast.BinOp) and isinstance(node.op, (ast.Add, ast.Sub)):
        other = ast.Sub() if isinstance(node.op, ast.Add) else ast.Add()
        yield "plus and minus exchanged", _setter("op", other)
    elif isinstance(node, ast.Compare) and len(node.ops) == 1:
        turned = _TURNED.get(type(node.ops[0]))
        if turned:
            yield "a comparison turned round", _setter("ops", [turned()])
    elif isinstance(node, ast.Tuple) and 2 <= len(node.elts) <= 3:
        yield "the order of a tuple", _setter("elts", [*node.elts[1:], node.elts[0]])
    for name in ("body", "orelse"):
        block = getattr(node, name, None)
        if isinstance(block, list):
            for k, statement in enumerate(block):
                if not isinstance(statement, (ast.Import, ast.ImportFrom, ast.FunctionDef)):
                    yield f"left out: {_short(statement)}", _without(name, k)
                if k and not isinstance(statement, (ast.Import, ast.ImportFrom)):
                    yield f"one earlier: {_short(statement)}", _earlier(name, k)


_TURNED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt,
    ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
}  # fmt: skip


def _short(statement: ast.stmt) -> str:
    return ast.unparse(statement).splitlines()[0][:40].replace("|", "/")


def _setter(name: str, value: object) -> Change:
    return lambda node: setattr(node, name, value)


def _without(name: str, k: int) -> Change:
    def change(node: ast.AST) -> None:
        block = getattr(node, name)
        block[k] = ast.Pass()

    return change


def _earlier(name: str, k: int) -> Change:
    def change(node: ast.AST) -> None:
        block = getattr(node, name)
        block[k - 1], block[k] = block[k], block[k - 1]

    return change


@dataclass
class Tally:
    """What came of a task's mutants.

    Attributes:
        tried: How many were run, those that changed nothing left out.
        lost: How many lost points.
        kept: What those are that kept all points, although something else happened.
        unnamed: How many lost points with no cause named.
        unsure: How many were told a cause as a guess.
    """

    tried: int = 0
    lost: int = 0
    unnamed: int = 0
    unsure: int = 0
    kept: list[str] = field(default_factory=list)

    def add(self, what: str, card: Scorecard, right: Scorecard) -> None:
        """Count one mutant by its card and that of the right program."""
        if card.recordings == right.recordings:
            return
        self.tried += 1
        if card.full:
            self.kept.append(what)
            return
        self.lost += 1
        self.unnamed += card.cause is None
        self.unsure += card.cause is not None and not card.cause.sure


def tally(task: str, right: dict[str, str], most: int, seed: int = 1) -> Tally:
    """Run a sample of a task's mutants.

    Args:
        task: The task.
        right: Its right programs, name to text.
        most: How many mutants, at most, over all programs.
        seed: What the sample is drawn with.
    """
    from tests.checks.test_programs import beside
    from tests.checks.tuning import tuned

    program, counts = TASKS[task].program, Tally()
    pool = [(n, w, t) for n, text in right.items() for w, t in mutants(_plain(task, text))]
    # Its tuned constants are those of one tug: a mutant is tried there, and on held-out tables.
    for name, what, text in random.Random(seed).sample(pool, min(most, len(pool))):
        for serial, variant in PLACES:
            files = beside(task)
            own = tuned(task, right[name], serial)
            card, whole = (
                check(task, files={**files, program: one}, serial=serial, variant=variant)
                for one in (_retuned(right[name], own, text), own)
            )
            counts.add(f"{name}, {what}, tug {serial}", card, whole)
    return counts


def _plain(task: str, text: str) -> str:
    from tests.checks.tuning import tuned

    return tuned(task, text, PLACES[0][0])


def _retuned(text: str, own: str, mutant: str) -> str:
    """Give a mutant with the constants of another tug, where they are not what was changed."""
    from tests.checks.tuning import put, tunables

    names = [one.name for one in tunables(text)]
    values = {
        node.targets[0].id: ast.literal_eval(node.value)
        for node in ast.parse(own).body
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
        and node.targets[0].id in names
    }  # fmt: skip
    first = {
        node.targets[0].id
        for node in ast.parse(mutant).body
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
    }
    return put(mutant, {name: value for name, value in values.items() if name in first})


def main(tasks: list[str], most: int = 60) -> None:
    """Write the table for some tasks, all if none is named."""
    from tests.checks.test_programs import programs

    rows = [
        "# Mutants", "",
        "Written by `python -m tests.checks.mutants`. Each mutant differs from a right program in",
        "one place; those that change nothing in the recordings are not counted.", "",
        "| task | tried | lose points | keep all | no cause named | cause told as a guess |",
        "| --- | --- | --- | --- | --- | --- |",
    ]  # fmt: skip
    for task in tasks or list(TASKS):
        found = tally(task, programs(task, "right_"), most)
        rows.append(
            f"| {task} | {found.tried} | {found.lost} | {len(found.kept)} | {found.unnamed} "
            f"| {found.unsure} |"
        )
        print(rows[-1], *(f"    keeps all: {what}" for what in found.kept), sep="\n", flush=True)
    if not tasks:
        file = Path(__file__).parent.parent / "programs" / "MUTANTS.md"
        file.write_text("\n".join(rows) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
