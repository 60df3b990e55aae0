"""Mutants: wrong programs that a machine makes, so that nobody can tune a check to them.

Each differs from a right program in one place: a number, a sign, a comparison, the order of two
statements, a statement left out.  `python -m tests.checks.mutants TASK ...` runs a sample of them,
each on two tugs and two tables, and tells which keep all points although what happened is not what
the right program does, and which lose some with no cause named; without a task it runs those of
all.  The rows go to `tests/programs/MUTANTS.md`.  What leaves equal events in the recordings,
moments apart, has changed nothing, and is not counted.  Whether a mutant that keeps all is a wrong
program, and whether a cause is true, only a reader can say: the printed lines tell what to read.
"""

from __future__ import annotations

import ast
import copy
import itertools
import random
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from checks import TASKS, Scorecard, check
from robotsim import Recording

__all__ = ["Tally", "Tried", "mutants", "tally", "tried"]

PLACES = ((7, 0), (131, 2))
"""Tug and variant of the tables on which each mutant is tried."""
MOMENT_S = 0.002
"""What two statements exchanged shift the clock by, at most."""
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


def _alike(one: Recording, other: Recording) -> bool:
    """Tell whether the same was done, at most a moment earlier or later."""
    return len(one.events) == len(other.events) and all(
        (a.kind, a.data) == (b.kind, b.data) and abs(a.seconds - b.seconds) <= MOMENT_S
        for a, b in zip(one.events, other.events, strict=True)
    )


@dataclass(frozen=True)
class Tried:
    """A mutant on one tug and table, with its card and that of the program that it was made of."""

    program: str
    what: str
    serial: int
    card: Scorecard
    right: Scorecard

    def __str__(self) -> str:
        return f"{self.program}, {self.what}, tug {self.serial}"

    @property
    def differs(self) -> bool:
        """Whether anything else happened than with the right program."""
        pairs = itertools.zip_longest(self.card.recordings, self.right.recordings)
        return not all(one and other and _alike(one, other) for one, other in pairs)

    @property
    def told(self) -> str:
        """What the card says otherwise than that of the right program, and the cause it names."""
        pairs = zip(self.card.rows, self.right.rows, strict=True)
        rows = [row for row, right in pairs if row.finding != right.finding or not row.full]
        lines = [
            f"{row.points:g} of {row.criterion.points:g} {row.criterion.title}: "
            f"{row.finding.measured}"
            for row in rows
        ]
        cause = self.card.cause
        if cause and not self.card.full:
            lines.append(f"{cause.name}{'' if cause.sure else '?'}: {cause.evidence}")
        return "".join(f"\n        {line}" for line in lines)


@dataclass
class Tally:
    """What came of a task's mutants.

    Attributes:
        tried: How many were run, those that changed nothing left out.
        kept: Those that kept all points, although something else happened.
        unnamed: Those that lost points with no cause named.
        unsure: How many were told a cause as a guess.
    """

    tried: int = 0
    unsure: int = 0
    kept: list[Tried] = field(default_factory=list)
    unnamed: list[Tried] = field(default_factory=list)

    def add(self, one: Tried) -> None:
        """Count one, if anything else happened."""
        if not one.differs:
            return
        self.tried += 1
        if one.card.full:
            self.kept.append(one)
        elif one.card.cause is None:
            self.unnamed.append(one)
        else:
            self.unsure += not one.card.cause.sure


def tally(task: str, right: dict[str, str], most: int, seed: int = 1) -> Tally:
    """Run a sample of a task's mutants.

    Args:
        task: The task.
        right: Its right programs, name to text.
        most: How many mutants, at most, over all programs.
        seed: What the sample is drawn with.
    """
    counts = Tally()
    for one in tried(task, right, most, seed):
        counts.add(one)
    return counts


def tried(task: str, right: dict[str, str], most: int, seed: int = 1) -> Iterator[Tried]:
    """Check a sample of a task's mutants, each in all places; arguments as for `tally`."""
    from tests.checks.test_programs import beside
    from tests.checks.tuning import tuned

    def carded(text: str, serial: int, variant: int) -> Scorecard:
        files = {**beside(task), TASKS[task].program: text}
        return check(task, files=files, serial=serial, variant=variant)

    # Its tuned constants are those of one tug: a mutant is tried there, and on held-out tables.
    pool = [(n, w, m) for n, text in right.items() for w, m in mutants(_plain(task, text))]
    sample = random.Random(seed).sample(pool, min(most, len(pool)))
    for name, (serial, variant) in itertools.product(dict.fromkeys(n for n, *_ in sample), PLACES):
        mine = [(what, text) for other, what, text in sample if other == name]
        own = tuned(task, right[name], serial)
        whole = carded(own, serial, variant)
        for what, text in mine:
            wrong = carded(_retuned(right[name], own, text), serial, variant)
            yield Tried(name, what, serial, wrong, whole)


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


FILE = Path(__file__).parent.parent / "programs" / "MUTANTS.md"
HEAD = """# Mutants

Written by `python -m tests.checks.mutants`. Each mutant differs from a right program in one place;
{most} a task, drawn at random, are each tried on two tugs and two tables. What changes nothing but
moments by less than 2 ms is not counted.

| task | tried | lose points | keep all | no cause named | cause told as a guess |
| --- | --- | --- | --- | --- | --- |
"""


def main(tasks: list[str], most: int = 12) -> None:
    """Write the rows of some tasks, all if none is named."""
    from tests.checks.test_programs import programs

    old = FILE.read_text(encoding="utf-8").splitlines() if FILE.is_file() else []
    rows = {line.split(" | ")[0][2:]: line for line in old if line[:2] == "| " and "." in line}
    kept = [line for line in old if line.startswith("- ")]
    for task in tasks or TASKS:
        found = tally(task, programs(task, "right_"), most)
        rows[task] = (
            f"| {task} | {found.tried} | {found.tried - len(found.kept)} | {len(found.kept)} "
            f"| {len(found.unnamed)} | {found.unsure} |"
        )
        kept = [line for line in kept if not line.startswith(f"- {task}: ")]
        kept += [f"- {task}: {one}" for one in found.kept]
        print(rows[task])
        for title, ones in (("keeps all", found.kept), ("no cause", found.unnamed)):
            print(*(f"    {title}: {one}{one.told}" for one in ones), sep="\n", flush=True)
    order = list(TASKS)
    kept.sort(key=lambda line: order.index(line[2:].split(":")[0]))
    table = [rows[task] for task in order if task in rows]
    text = "\n".join([*table, "", "## What keeps all points", "", *kept])
    FILE.write_text(HEAD.format(most=most) + text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
