"""Appeals: one task looked at once more, with what changed, who decided and why, kept for good."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from nbgrader.api import MissingEntry

from robotsim import KitError
from robotsim.errors import nearest

from ..course.open_course import OpenCourse
from ..course.roster import meant_learner, roster_of
from ..course.scores import earned, scores
from .by_hand import open_entry
from .decided import Appeal, appeals_of, now, write_down
from .marker import mark
from .noted import note_settled, state_of

__all__ = ["appeal", "why_uncounted"]

Remark = Callable[[Path, str, str], object]


def appeal(
    course: Path, learner: str, cell: str, *, by: str, why: str, points: float | None = None,
    again: bool = False, remark: Remark | None = None,
) -> Appeal:  # fmt: skip
    """Decide on one task of one learner.

    Args:
        course: The course folder.
        learner: Whose.
        cell: The task's cell, such as `lamps-signal` (`lamps.signal` is the same).
        by: Who decides.
        why: Why, in words; where points are given, the learner's page says it.
        points: The points that are given by hand, also for what could not be marked or never came;
            None to have the check run once more.
        again: Have it run also in the place of points that were given by hand before.
        remark: Marks a learner's lesson anew; None for the kit's own way.

    Returns:
        The decision; the earlier one where this says the same once more.

    Raises:
        KitError: There is no such task, or its points cannot be so many, or a check that runs once
            more would take the place of points that were given by hand, or is of somebody who is
            not in the roster.
    """
    if not cell:
        raise KitError("An appeal is about one task of a learner.",
                       hint="name it after the learner, such as lamps.signal.")  # fmt: skip
    if not by.strip() or not why.strip():
        raise KitError("An appeal needs who decided and why.", hint='--by NAME --why "..."')
    opened, cell = OpenCourse(course), cell.replace(".", "-")
    roster = roster_of(opened.course)
    with opened.gradebook() as book:
        known = [one.id for one in book.students]
    if learner not in known and cell in known:
        raise KitError("An appeal names the learner first, then the task.",
                       hint=f"did you mean: {cell} {learner}?")  # fmt: skip
    learner = meant_learner(learner, known, roster)
    if points is None:
        roster.as_marked(learner)  # a check needs to know with which tug
    lesson = cell.split("-")[0]
    state = state_of(opened.course, learner, lesson)
    try:
        before = _give(opened, learner, lesson, cell, points, again=again)
    except MissingEntry as fault:
        raise _no_task(opened, learner, cell) from fault
    found = ""
    if points is None:
        (remark or _marked_again)(opened.course, learner, lesson)
        found = _difference(cell, state, state_of(opened.course, learner, lesson))
    with opened.gradebook() as book:
        after = book.find_grade(cell, lesson, lesson, learner).score
    made = Appeal(now(), learner, lesson, cell, before, after, by.strip(), why.strip(), found)
    last = next((one for one in reversed(appeals_of(opened.course))
                 if (one.learner, one.cell) == (learner, cell)), None)  # fmt: skip
    if last is not None and made == replace(last, when=made.when, before=last.after):
        return last
    write_down(opened.course, [made])
    return made


def why_uncounted(course: Path, learner: str, lesson: str) -> str:
    """Say why a learner's points in a lesson count nowhere; "" if they count."""
    roster = roster_of(course)
    student = roster.find(learner)
    if student is None:
        return f"{learner} is not in the roster" if roster.students else ""
    excused = roster.excuses(student, lesson, handed_in=True)
    return f"{lesson} is not asked of {learner}, as the roster says" if excused else ""


def _give(
    opened: OpenCourse, learner: str, lesson: str, cell: str, points: float | None, *, again: bool
) -> float | None:
    """Set a task's points by hand, or take such points away; give those that it had, if any."""
    with opened.gradebook() as book:
        source = book.find_graded_cell(cell, lesson, lesson)
        if points is None:
            book.find_grade(cell, lesson, lesson, learner)
        if points is not None and not 0 <= points <= source.max_score:
            raise KitError(f"{cell} can have 0 to {source.max_score:g} points, not {points:g}.")
        if points is None and source.cell_type != "code":
            raise KitError(f"{cell} is an answer in words, which no check can look at again.",
                           hint="give its points: --points N")  # fmt: skip
        try:
            grade = book.find_grade(cell, lesson, lesson, learner)
        except MissingEntry:
            open_entry(book, learner, lesson)
            grade = book.find_grade(cell, lesson, lesson, learner)
        by_hand = grade.manual_score is not None and not grade.needs_manual_grade
        marked = by_hand or grade.auto_score is not None and not grade.needs_manual_grade
        before = earned(grade) if marked else None
        if points is None and by_hand and not again:
            raise KitError(
                f"{learner} has {before:g} points by hand in {cell}: the check would take their "
                "place.", hint="--points N gives others; --again lets the check have its way.",
            )  # fmt: skip
        grade.manual_score = points
        if points is not None:
            grade.needs_manual_grade = False
        book.db.commit()
        left = [one for one in grade.notebook.grades
                if one.manual_score is None or one.needs_manual_grade]  # fmt: skip
    if not left and "fault" in state_of(opened.course, learner, lesson):
        note_settled(opened.course, learner, lesson)
    return before


def _no_task(opened: OpenCourse, learner: str, cell: str) -> KitError:
    """Say that a learner has no such task, and which was probably meant."""
    known = {score.cell for score in scores(opened)}
    guess = None if cell in known else nearest(cell, known)
    hint = f"did you mean {guess!r}?" if guess else "mark the lesson, or give points: --points N"
    if cell not in known and not guess:
        hint = f"known are {', '.join(sorted(known))}."
    return KitError(f"{learner} has no marked task {cell!r}.", where=str(opened.course), hint=hint)


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
