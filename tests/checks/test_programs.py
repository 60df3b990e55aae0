"""Every task against right and wrong programs: does its check tell them apart, and why?

The programs of a task are in `tests/programs/<lesson>/<task>/`. Right ones (`right_*.py`) are
written in different styles and must lose nothing; wrong ones (`wrong_*.py`) each make one mistake
and say in comments what must come of it:

    # criterion: It keeps to the line
    # mistake: trim on the wrong side

Slips (`slips.py`, see `slips.py` of this folder) are small edits applied to every right program in
which they make sense; new mistakes are written so, not as files of their own.

A new task is picked up by itself.  An ordinary run tries right programs on one tug, every third
wrong one, and one slip in six on one right program; `--long` tries all programs and slips on all
of a few tugs, and writes a table beside a task's programs, `OUTCOMES.md`.
"""

from __future__ import annotations

import dataclasses
import functools
import itertools
import re
from pathlib import Path
from typing import NamedTuple

import pytest

from checks import TASKS, Scorecard, check
from tests.checks.slips import Slip, slips_of, spoilt
from tests.checks.tuning import FEW, put, search, tunables, tuned

PROGRAMS = Path(__file__).parent.parent / "programs"
ALWAYS_WRONG = ("wrong_does_nothing", "wrong_prints_only")
"""Two that every task has: neither may earn a point."""


class Outcome(NamedTuple):
    """What one program came to on one tug."""

    program: str
    serial: int
    card: Scorecard

    @property
    def lost(self) -> set[str]:
        """The criteria that lost points."""
        return {row.criterion.title for row in self.card.rows if not row.full}

    @property
    def named(self) -> str:
        """The mistake that the card names."""
        return self.card.cause.name if self.card.cause and not self.card.full else ""


def programs(task: str, kind: str = "") -> dict[str, str]:
    """Give a task's programs, name to text."""
    paths = sorted(PROGRAMS.joinpath(*task.split(".")).glob(f"{kind}*.py"))
    return {path.stem: path.read_text(encoding="utf-8") for path in paths if path.stem != "slips"}


def beside(task: str) -> dict[str, str]:
    """Give the files that are on the board beside a task's program: those in its folder `with`."""
    paths = PROGRAMS.joinpath(*task.split("."), "with").glob("*.py")
    return {path.name: path.read_text(encoding="utf-8") for path in paths}


def told(text: str, what: str) -> list[str]:
    """Read what a program's comments say must come of it."""
    return re.findall(rf"^# {what}: (.+?)\s*$", text, re.M)


def outcome(task: str, name: str, text: str, serial: int) -> Outcome:
    """Run the check of a task with one program on one tug."""
    program = TASKS[task].program
    card = check(task, files={**beside(task), program: tuned(task, text, serial)}, serial=serial)
    if name.startswith("right") and tunables(text) and not card.full:
        # The kept numbers no longer do: look for them as a learner would.
        found = put(text, search(task, text, serial))
        card = check(task, files={program: found}, serial=serial)
    # Kept for several tests, so without the recordings: those of all programs fill a gigabyte.
    return Outcome(name, serial, dataclasses.replace(card, recordings=()))


@functools.cache
def outcomes(task: str, tugs: tuple[int, ...]) -> list[Outcome]:
    """Run all programs of a task: right ones on all tugs, wrong ones on those but the first.

    Of two tugs a right program is tried on one, by turns; and of wrong ones every third.
    """
    every, found = len(tugs) > 2, []
    for k, (name, text) in enumerate(programs(task).items()):
        right = name.startswith("right")
        if not (every or right or name in ALWAYS_WRONG or k % 3 == 1):
            continue
        own = tugs if right else tugs[1:]
        for serial in own if every else [own[k % len(own)]]:
            found.append(outcome(task, name, text, serial))
    return found


EXTENT = pytest.mark.parametrize(
    "tugs", [(0, 131), pytest.param(FEW, marks=pytest.mark.long)], ids=["some", "few"]
)


@pytest.mark.parametrize("task", TASKS)
def test_every_task_has_programs_in_three_styles_and_eight_mistakes(task: str) -> None:
    right, wrong = programs(task, "right_"), programs(task, "wrong_")
    assert len(right) >= 3 and len(wrong) + len(slips_of(task)) >= 8
    assert set(ALWAYS_WRONG) <= set(wrong)
    assert set(programs(task)) == {*right, *wrong}, "a program is neither right_ nor wrong_"
    titles = {criterion.title for criterion in TASKS[task].criteria}
    for name, text in wrong.items():
        asked = told(text, "criterion")
        assert asked and set(asked) <= titles, f"{name} must lose points on {asked}, not known"
        assert len(told(text, "mistake")) <= 1, name
    for name, text in right.items():
        assert not told(text, "criterion") and not told(text, "mistake"), name


@EXTENT
@pytest.mark.parametrize("task", TASKS)
def test_right_programs_lose_nothing_and_wrong_ones_lose_the_right_points(
    task: str, tugs: tuple[int, ...]
) -> None:
    complaints = []
    for found in outcomes(task, tugs):
        text = programs(task)[found.program]
        place = f"{task}, {found.program}, tug {found.serial}"
        if re.search(r"(?<![\w.+-])-0(\.0+)?(?![\d.])", str(found.card)):
            complaints.append(f"{place}: nothing with a sign\n{found.card}")
        if found.program.startswith("right"):
            if not found.card.full:
                complaints.append(f"{place}: {found.card}")
            continue
        kept = set(told(text, "criterion")) - found.lost
        if kept or found.card.points >= found.card.max_points:
            complaints.append(f"{place}: lost nothing on {sorted(kept)}\n{found.card}")
        if found.program in ALWAYS_WRONG and found.card.points:
            complaints.append(f"{place}: earned {found.card.points} for nothing")
    assert not complaints, "\n\n".join(complaints)


@EXTENT
@pytest.mark.parametrize("task", TASKS)
def test_the_named_mistake_is_the_real_one_nine_times_in_ten(
    task: str, tugs: tuple[int, ...]
) -> None:
    judged = {
        (found.program, found.serial): found.named == mistake
        for found in outcomes(task, tugs)
        for mistake in told(programs(task)[found.program], "mistake")
    }
    missed = sorted(place for place, hit in judged.items() if not hit)
    # Of the few that an ordinary run tries one may be missed, where a tenth of them is less.
    assert len(missed) <= max(1, len(judged) / 10), f"named otherwise: {missed}"


SLIPPED = [task for task in TASKS if slips_of(task)]


ONE_IN = 6
"""An ordinary run tries one slip of so many: six hundred would take half of its time."""


def slipped(task: str, serial: int, every: bool) -> list[tuple[str, Slip, Scorecard]]:
    """Check slips of a task on one tug: each on all right programs, or some on one of them."""
    right = {name: tuned(task, text, serial) for name, text in programs(task, "right_").items()}
    found: dict[Slip, list[tuple[str, str]]] = {slip: [] for slip in slips_of(task)}
    for slip, name, wrong in spoilt(task, right):
        found[slip].append((name, wrong))
    cards = []
    for k, (slip, made) in enumerate(found.items()):
        assert made, f"{slip.name}: applies to no right program"
        if not every and (k + SLIPPED.index(task)) % ONE_IN:
            continue
        for name, wrong in made if every else [made[k % len(made)]]:
            files = {**beside(task), TASKS[task].program: wrong}
            card = dataclasses.replace(check(task, files=files, serial=serial), recordings=())
            cards.append((name, slip, card))
    return cards


@EXTENT
@pytest.mark.parametrize("task", SLIPPED)
def test_slips_cost_what_they_must_and_are_named(task: str, tugs: tuple[int, ...]) -> None:
    complaints, judged = [], []
    titles = {criterion.title for criterion in TASKS[task].criteria}
    for serial in tugs[1:]:
        for name, slip, card in slipped(task, serial, every=len(tugs) > 2):
            assert {*slip.costs} and {*slip.costs} <= titles, f"{slip.name}: costs {slip.costs}"
            lost = {row.criterion.title for row in card.rows if not row.full}
            place = f"{name} that {slip.name}, tug {serial}"
            if kept := {*slip.costs} - lost:
                complaints.append(f"{place}: lost nothing on {sorted(kept)}\n{card}")
            if slip.cause:
                named = card.cause.name if card.cause else "nothing"
                judged.append((place, named, named == slip.cause))
    missed = [f"{place}: {named}" for place, named, hit in judged if not hit]
    # Of the few that an ordinary run tries one may be missed; of all, one in twenty.
    if len(missed) > max(1 if len(tugs) == 2 else 0, len(judged) / 20):
        complaints.append("named otherwise:\n" + "\n".join(missed))
    assert not complaints, "\n\n".join(complaints)


@pytest.mark.parametrize(
    "task",
    [
        pytest.param(task, marks=[] if task == "arm.knock" else pytest.mark.long)
        for task, asked in TASKS.items()
        if any(run.seed for run in asked.runs)
    ],
)
def test_held_out_tables_tell_right_programs_from_wrong_ones_as_the_lessons_own_do(
    task: str,
) -> None:
    complaints, judged = [], []
    for (name, text), (serial, variant) in itertools.product(
        programs(task).items(), ((7, 1), (131, 2))
    ):
        files = {**beside(task), TASKS[task].program: tuned(task, text, serial)}
        card = check(task, files=files, serial=serial, variant=variant)
        found = Outcome(name, serial, card)
        kept = set(told(text, "criterion")) - found.lost
        if kept or card.full != name.startswith("right"):
            complaints.append(
                f"{name}, tug {serial}, variant {variant}: {card.points}, kept {kept}"
            )
        judged += [found.named == mistake for mistake in told(text, "mistake")]
    assert not complaints, "\n".join(complaints)
    assert judged.count(False) <= len(judged) / 10


@pytest.mark.long
@pytest.mark.parametrize("task", TASKS)
def test_the_outcomes_of_a_tasks_programs_are_written_beside_them(task: str) -> None:
    rows: dict[str, list[Outcome]] = {}
    for found in outcomes(task, FEW):
        rows.setdefault(found.program, []).append(found)
    lines = [
        f"# Outcomes of `{task}`",
        "",
        f"Written by `tests/checks/test_programs.py`. Points of {TASKS[task].points:g}, by tug.",
        "",
        "| program | points (tug) | the mistake that was made | the mistake that was named |",
        "| --- | --- | --- | --- |",
    ]
    for name, group in rows.items():
        points = ", ".join(f"{found.card.points:g} ({found.serial})" for found in group)
        named = "; ".join(sorted({found.named for found in group if found.named}))
        made = "; ".join(told(programs(task)[name], "mistake"))
        lines.append(f"| {name} | {points} | {made or '-'} | {named or '-'} |")
    file = PROGRAMS.joinpath(*task.split("."), "OUTCOMES.md")
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
