"""Appeals: one task looked at once more, with what changed, who decided and why, kept for good."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from nbgrader.api import MissingEntry

from robotsim import KitError, UnknownNameError

from ..course.classroom import OWN, write_whole
from ..course.config import check_course
from ..course.desk import Desk
from .marker import mark, state_of

__all__ = ["Appeal", "appeal", "appeals_of"]

_BOOK = "appeals.json"
Remark = Callable[[Path, str, str], object]


@dataclass(frozen=True)
class Appeal:
    """One decision.

    Attributes:
        when: When it was made, in UTC.
        learner: Whose task.
        lesson: Of which lesson.
        cell: The task's cell.
        before: The points before.
        after: The points after.
        by: Who decided.
        why: Why, in words.
        found: What the check found anew, and whether anything that it rests on was another; "" if
            it was not run again.
    """

    when: str
    learner: str
    lesson: str
    cell: str
    before: float
    after: float
    by: str
    why: str
    found: str = ""


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

    Raises:
        KitError: There is no such task, or its points cannot be so many.
    """
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
    now = datetime.now(UTC).strftime("%Y-%m-%d %H:%M:%S")
    with desk.gradebook() as book:
        after = book.find_grade(cell, lesson, lesson, learner).score
    made = Appeal(now, learner, lesson, cell, before, after, by.strip(), why.strip(), found)
    kept = [asdict(one) for one in (*appeals_of(desk.course), made)]
    write_whole(desk.course / OWN / _BOOK, json.dumps(kept, indent=1).encode("utf-8"))
    return made


def appeals_of(course: Path) -> list[Appeal]:
    """Give all decisions of a course, the earliest first.

    Raises:
        KitError: The book of them is damaged; nothing is written over it.
    """
    check_course(course)
    path = course / OWN / _BOOK
    try:
        return [Appeal(**one) for one in json.loads(path.read_text(encoding="utf-8"))]
    except FileNotFoundError:
        return []
    except (ValueError, TypeError) as fault:
        raise KitError("The book of appeals is damaged.", where=str(path),
                       hint="put a copy of it in its place.") from fault  # fmt: skip


def _give(desk: Desk, learner: str, lesson: str, cell: str, points: float | None) -> float:
    """Set a task's points by hand, or take such points away; give those that it had."""
    with desk.gradebook() as book:
        try:
            grade = book.find_grade(cell, lesson, lesson, learner)
        except MissingEntry as fault:
            ids = {student.id for student in book.students}
            if learner not in ids:
                raise UnknownNameError("learner", learner, ids) from fault
            raise KitError(
                f"{learner} has no marked task {cell!r}.", where=str(desk.course),
                hint="`report/tasks.csv` names them all; mark the lesson first.",
            ) from fault  # fmt: skip
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


def _marked_again(course: Path, learner: str, lesson: str) -> None:
    mark(course, lessons=[lesson], learners=[learner], again=True)


def _difference(cell: str, old: dict[str, object], new: dict[str, object]) -> str:
    """Say whether what a check rests on is the same as when it was marked before."""
    def of(state: dict[str, object], what: str) -> object:
        kept = state.get(what)
        return kept.get(cell) if isinstance(kept, dict) else None

    if of(old, "programs") != of(new, "programs"):
        return "checked anew: the program is another than the one that was marked before"
    if of(old, "checks") != of(new, "checks"):
        return "checked anew: the same program, under another kit, tug or tables"
    return "checked anew: the same program, kit, tug and tables, so the same result"
