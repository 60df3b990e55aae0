"""Feedback: the pages that go back to learners, each with what can be played again.

The page stands where nbgrader would put its own, and beside it what its exchange asks for, so that
`nbgrader release_feedback` works.
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from robotsim import KitError

from ..course.classroom import PACKS
from ..course.lessons import see_lesson
from ..course.open_course import OpenCourse
from ..course.roster import meant_learner, roster_of
from ..whole import whole_file
from .by_hand import without_notebook
from .noted import faults_of
from .pages import page_files, write_pages
from .progress import Progress
from .waiting import Waiting, waiting

__all__ = ["feedback"]

_HALF = "until you have given all its points by hand (`appeal`)"


def feedback(
    course: Path, learners: Sequence[str] = (), lessons: Sequence[str] = (), *,
    again: bool = False, with_scheme: bool = False,
    progress: Callable[[int], Progress] | None = None,
) -> Iterator[str]:  # fmt: skip
    """Write the feedback of all that is marked and has changed, and pack it to send it back.

    Who is not in the class's roster keeps the pages of before, unless named.

    Beside a learner's page of a lesson stand, for each check that lost points, its recordings and
    a page on which they can be played again.

    Args:
        course: The course folder.
        learners: Whose; everybody's if none is named.
        lessons: Of which lessons; of all if none is named.
        again: Write also what has not changed.
        with_scheme: Show on the pages how answers in words are marked.
        progress: Makes what shows how far it is, from the number of pages.

    Yields:
        A line for each page that could not be written, for each file that could not be marked,
        for who is not in the roster, then one for each lesson.

    Raises:
        KitError: Nothing of a learner is marked.
        UnknownNameError: There is no such learner, or no lesson with work of that name.
    """
    opened = OpenCourse(course)
    late = waiting(opened.course)
    pages, faults, strangers = _wanted(opened, late, learners, lessons)
    if strangers:
        yield (f"Not in the roster, so their pages are left as they are: {', '.join(strangers)}; "
               "--learner NAME writes one all the same")  # fmt: skip
    elif not pages:
        yield "Nothing is marked yet, so nothing goes back. First: `python3 checks mark FOLDER`"
    counted: dict[str, list[int]] = {}
    troubles: list[str] = []
    bar = progress(len(pages)) if progress else None
    for done in write_pages(opened.course, pages, again=again, with_scheme=with_scheme):
        learner, lesson = done.path.parts[-3:-1]
        counts = counted.setdefault(lesson, [0, 0])
        counts[0] += done.written
        counts[1] += 1
        if done.trouble:
            troubles.append(f"{learner}, {lesson}: no page: {done.trouble}")
        if bar:
            bar.step(f"{learner}, {lesson}")
    if bar:
        bar.end()
    yield from troubles
    for (learner, lesson), words in faults.items():
        earlier = any(path.parts[-3:-1] == (learner, lesson) for path in pages)
        page = "the page is of an earlier file" if earlier else "no page"
        yield f"{learner}, {lesson}: {page}: {words.splitlines()[0]}"
    named = {name.lower() for name in learners}
    yield from late.lines({id: id for id, lesson in late.files if (lesson in lessons or not lessons)
                           and (id.lower() in named or not named)})  # fmt: skip
    if late.changed:
        yield f"look: {late.told_of_changes}"
    for lesson, (written, total) in counted.items():
        pack, there = _pack(opened.course, lesson)
        yield (f"{lesson}: {written} of {total} pages written anew; {there} in all to send back: "
               f"{pack}")  # fmt: skip


def _wanted(
    opened: OpenCourse, late: Waiting, learners: Sequence[str], lessons: Sequence[str]
) -> tuple[list[Path], dict[tuple[str, str], str], list[str]]:
    """Give the marked notebooks that are asked for, what has no page and why, and the strangers.

    Where a person has given all points, the place of a notebook stands for what never came.
    """
    course = opened.course
    marked = [path for path in sorted((course / "autograded").glob("*/*/*.ipynb"))
              if path.stem == path.parts[-2] and path.is_file()]  # fmt: skip
    by_hand = {key: whole for key, whole in without_notebook(opened).items()
               if key not in late.files}  # fmt: skip
    marked += [course / "autograded" / who / what / f"{what}.ipynb"
               for (who, what), whole in by_hand.items() if whole]  # fmt: skip
    faults = {key: _HALF for key, whole in by_hand.items() if not whole} | faults_of(course)
    known = [*(path.parts[-3:-1] for path in marked), *faults]
    came, taught = {who for who, _ in known}, {what for _, what in known}
    roster = roster_of(course)
    ids = [one.id for one in roster.students]
    learners = [meant_learner(name, {*came, *ids}, roster) for name in learners]
    for name in learners:
        if name not in came:
            raise KitError(f"Nothing of {name} is marked, so there is no page.", where=str(course),
                           hint="`python3 checks mark FOLDER` marks what has come.")  # fmt: skip
    for name in lessons:
        see_lesson(name, taught, {*came, *ids}, "lesson with work")

    def asked(learner: str, lesson: str) -> bool:
        ours = learner in learners if learners else learner not in strangers
        return ours and (not lessons or lesson in lessons)

    strangers = [] if learners else sorted(who for who in came if roster.lacks(who))
    return ([path for path in marked if asked(*path.parts[-3:-1])],
            {key: words for key, words in faults.items() if asked(*key)}, strangers)  # fmt: skip


def _pack(course: Path, lesson: str) -> tuple[Path, int]:
    """Put one lesson's pages into one file, a folder a learner; count them."""
    path, pages = course / PACKS / f"feedback-{lesson}.zip", page_files(course, lesson)
    with whole_file(path) as part, zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as pack:
        for learner, files in pages.items():
            for file in files:
                pack.write(file, f"{learner}/{file.name}")
    return path, len(pages)
