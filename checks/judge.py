"""Judge: run a task's trials and say what came of them."""

from __future__ import annotations

import contextlib
import functools
import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import replace

from robotsim import KitError, Recording, UnknownNameError, Whose
from robotsim.board.engines import USUAL
from robotsim.board.order import Patience
from robotsim.calls import FILES, TASK, Value, called_as
from robotsim.errors import nearest
from robotsim.notebook import FLASH, find_card, own_serial, text_mark, used_by
from robotsim.table import held_out
from robotsim.trial import run_trials

from .mistakes import likeliest, lost_points
from .scorecard import Scorecard
from .task import Finding, Run, Task, patience
from .tasks import TASKS

__all__ = ["CHECK_PATIENCE_S", "check", "check_day"]

CHECK_PATIENCE_S = 30.0
"""For how long, in s of real time, the programs of one check are waited for in all its trials.

Honest ones of the kit's tasks take less than 1 s, also on a slow computer: most of a check's time
is the simulator's own."""


@called_as(
    'check("lamps.side")', task=TASK, files=FILES, variant=Value(int, "a whole number as variant"),
)  # fmt: skip
def check(
    task: str,
    *,
    files: Mapping[str, str] | None = None,
    serial: int | None = None,
    variant: int = 0,
    engine: str = USUAL,
    whose: Whose = Whose.STRANGER,
    tug: object = None,
) -> Scorecard:
    """Run a task's trials with the program on the board, and judge what came of them.

    Args:
        task: The task's id, such as "drive.straight".
        files: Files to use in place of the board's, name to text.
        serial: The tug's serial number; None for the learner's own.
        variant: Which tables are taken where a task has one that differs from the plain one: 0 for
            those of the lesson, another number for held-out ones.
        engine: What interprets the program.
        whose: Whose the files are, if some are given; those on this notebook's board are its own.
        tug: Refused: what is marked is marked on the tug as drawn, whatever yours is like.

    Returns:
        The scorecard: a number to a grader, a card to a reader.

    Raises:
        UnknownNameError: There is no such task.
        KitError: The program is a stranger's, and this system cannot confine it; or a tug of
            your own was given.
    """
    if task not in TASKS:
        raise _no_task(task)
    if tug is not None:
        raise KitError("A task is judged on the tug as drawn, wired as PINS says.",
                       hint=f"the tug of another number is serial={tug}." if str(tug).isdecimal()
                       else "leave out tug=; run(..., tug=...) tries it on yours.")  # fmt: skip
    asked = TASKS[task]
    board = FLASH if files is None else files
    if asked.program not in board:
        return _told(Scorecard.without_program(asked), files)
    own = own_serial() if serial is None else serial
    if files is None:
        whose = FLASH.whose
    recordings = tuple(_trials(asked, board, own, variant, engine, whose))
    findings = _findings(asked, recordings)
    lost = lost_points(asked.criteria, findings)
    cause = likeliest(asked, recordings, lost) if lost else None
    # A notebook keeps its cards: what was worked out of their recordings is not kept with them.
    card = Scorecard.of(asked, [made.packed() for made in recordings], findings, cause)
    if not card.points or any(made.problem for made in recordings):
        # What a program never came to is no miss: the card tells it from one.
        card = card.beside(_bare(task, own, variant, engine))
    if files is None:
        texts = tuple((name, text_mark(FLASH[name])) for name in used_by(asked.program, FLASH))
        card = replace(card, judged=FLASH.note(asked.program), texts=texts)
    return _told(card, files)


def _no_task(task: str) -> UnknownNameError:
    """Give the error for a task that is not there: of those that are, only the ones near it."""
    head, _, tail = task.strip().lower().rpartition(".")
    lessons = sorted({name.split(".")[0] for name in TASKS})
    lesson = nearest(head or tail, lessons)
    of_lesson = [name for name in TASKS if name.startswith(f"{lesson}.")]
    if not head and tail in lessons:  # the task was left out
        return UnknownNameError("task", task, of_lesson, "choose one of those above.")
    own = [name for name in TASKS if name.split(".")[1] == tail]  # the lesson was left out
    guess = nearest(task, TASKS)
    tails = {name.split(".")[1]: name for name in of_lesson or TASKS}
    if not own and not guess and (near := nearest(tail, tails)):
        guess = tails[near]
    meant = own or ([guess] if guess else [])
    if meant:
        hint = f"did you mean {' or '.join(map(repr, meant))}?"
        beside = {name.split(".")[0] for name in meant}
        return UnknownNameError(
            "task", task, [name for name in TASKS if name.split(".")[0] in beside], hint
        )
    hint = "a task is its lesson, a point and its name, such as check(\"lamps.side\")."
    return UnknownNameError("task", task, of_lesson or [f"{name}.…" for name in lessons], hint)


def _findings(asked: Task, recordings: tuple[Recording, ...]) -> tuple[Finding, ...]:
    seen = asked.facts(recordings)
    return tuple(criterion.judge(seen) for criterion in asked.criteria)


@functools.lru_cache(maxsize=64)
def _bare(task: str, own: int, variant: int, engine: str) -> tuple[Finding, ...]:
    """Judge a board without a program, which is the same each time."""
    asked = TASKS[task]
    board = {asked.program: ""}
    return _findings(asked, tuple(_trials(asked, board, own, variant, engine, Whose.KIT)))


def _trials(
    asked: Task, board: Mapping[str, str], own: int, variant: int, engine: str, whose: Whose
) -> Iterator[Recording]:
    """Run the task's trials; after one in which the program fell silent the others wait less."""
    waited = Patience(CHECK_PATIENCE_S)
    trials = []
    for number, run in enumerate(_held_out(run, variant) for run in asked.runs):
        serial = own if run.serial is None else run.serial
        trials.append({
            "program": asked.program, "table": run.table, "seed": run.seed, "seconds": run.seconds,
            "start": run.start, "serial": serial, "engine": engine, "air": run.air,
            "whose": whose, "patience": waited,
            "day": check_day(asked.id, number, variant, serial),
        })  # fmt: skip
    return run_trials(board, trials, silence_s=patience)


def check_day(task: str, number: int, variant: int, serial: int) -> str:
    """Give the name of the day of a task's trial: always the same for a task and a tug.

    No seed gives it, so what was tuned to a single run counts here for no more than its worth.
    """
    mark = hashlib.sha256(f"check {task} {number} {variant} {serial}".encode()).hexdigest()
    return f"check {mark[:16]}"


def _held_out(run: Run, variant: int) -> Run:
    """Give a run on another table of the same kind, or on the lesson's plain one another day."""
    return replace(run, seed=held_out(run.table, run.seed, variant))


def _told(card: Scorecard, files: Mapping[str, str] | None) -> Scorecard:
    """Give a card on; the room hears of a learner's own, if its learner has joined one."""
    with contextlib.suppress(Exception):  # a check never notices
        if files is None and find_card("room.json") is not None:
            from .room.teller import tell

            tell(card)
    return card
