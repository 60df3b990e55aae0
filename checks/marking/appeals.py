"""Appeals: one task looked at once more, with what changed, who decided and why, kept for good."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from nbgrader.api import MissingEntry

from robotsim import KitError
from robotsim.errors import nearest

from ..course.classroom import roster_of
from ..course.desk import Desk
from ..course.grader import scores
from ..course.roster import unknown_learner
from .decided import Appeal, appeals_of, now, write_down
from .marker import mark
from .noted import state_of

__all__ = ["appeal"]

Remark = Callable[[Path, str, str], object]


def appeal(
    course: Path, learner: str, cell: str, *, by: str, why: str, points: float | None = None,
    remark: Remark | None = None,
) -> Appeal:  # fmt: skip
    """Decide on one task of one learner.

    Args:
        course: The course folder.
        learner: Whose.
        cell: The task's cell, such as `lamps-signal` (`lamps.signal` is the same).
        by: Who decides.
        why: Why, in words.
        points: The points that are given by hand; None to have the check run once more, in the
            place of points that were given by hand before.
        remark: Marks a learner's lesson anew; None for the kit's own way.

    Returns:
        The decision; the earlier one where this says the same once more.

    Raises:
        KitError: There is no such task, or its points cannot be so many.
    """
    if not cell:
        raise KitError("An appeal is about one task of a learner.",
                       hint="name it after the learner, such as lamps.signal.")  # fmt: skip
    if not by.strip() or not why.strip():
        raise KitError("An appeal needs who decided and why.", hint='--by NAME --why "..."')
    desk, cell = Desk(course), cell.replace(".", "-")
    lesson = cell.split("-")[0]
    state = state_of(desk.course, learner, lesson)
    before = _give(desk, learner, lesson, cell, points)
    found = ""
    if points is None:
        (remark or _marked_again)(desk.course, learner, lesson)
        found = _difference(cell, state, state_of(desk.course, learner, lesson))
    with desk.gradebook() as book:
        after = book.find_grade(cell, lesson, lesson, learner).score
    made = Appeal(now(), learner, lesson, cell, before, after, by.strip(), why.strip(), found)
    last = next((one for one in reversed(appeals_of(desk.course))
                 if (one.learner, one.cell) == (learner, cell)), None)  # fmt: skip
    if last is not None and made == replace(last, when=made.when, before=last.after):
        return last
    write_down(desk.course, [made])
    return made


def _give(desk: Desk, learner: str, lesson: str, cell: str, points: float | None) -> float:
    """Set a task's points by hand, or take such points away; give those that it had."""
    with desk.gradebook() as book:
        try:
            grade = book.find_grade(cell, lesson, lesson, learner)
        except MissingEntry as fault:
            ids = {student.id for student in book.students}
            if learner not in ids:
                raise unknown_learner(learner, ids, roster_of(desk.course)) from fault
            raise _no_task(desk, learner, cell) from fault
        before, most = float(grade.score), float(grade.max_score)
        if points is not None and not 0 <= points <= most:
            raise KitError(f"{cell} can have 0 to {most:g} points, not {points:g}.")
        if points is None and grade.cell_type != "code":
            raise KitError(f"{cell} is an answer in words, which no check can look at again.",
                           hint="give its points: --points N")  # fmt: skip
        grade.manual_score = points
        if points is not None:
            grade.needs_manual_grade = False
        book.db.commit()
    return before


def _no_task(desk: Desk, learner: str, cell: str) -> KitError:
    """Say that a learner has no such task, and which was probably meant."""
    known = {score.cell for score in scores(desk.course)}
    guess = None if cell in known else nearest(cell, known)
    hint = f"did you mean {guess!r}?" if guess else "mark the lesson first."
    if cell not in known and not guess:
        hint = f"known are {', '.join(sorted(known))}."
    return KitError(f"{learner} has no marked task {cell!r}.", where=str(desk.course), hint=hint)


def _marked_again(course: Path, learner: str, lesson: str) -> None:
    mark(course, lessons=[lesson], learners=[learner], again=True)


def _difference(cell: str, old: dict[str, object], new: dict[str, object]) -> str:
    """Say whether what a check rests on is the same as when it was marked before."""
    def of(state: dict[str, object], what: str) -> object:
        kept = state.get(what)
        return kept.get(cell) if isinstance(kept, dict) else None

    if of(old, "programs") != of(new, "programs"):
        return "checked anew: the program is another than the one that was marked last"
    if of(old, "checks") != of(new, "checks"):
        return "checked anew: the program that was marked last, under another kit, tug or tables"
    return "checked anew: program, kit, tug and tables are as marked last, so the same result"
