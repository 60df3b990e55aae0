"""Config: nbgrader's settings for a course, and the folder that a course lives in.

A course folder holds a short nbgrader_config.py that calls `settings` here, so that a course
follows the kit, and what a teacher adds below that line stays.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from nbgrader.converters import Autograde
from nbgrader.preprocessors import Execute
from traitlets.config import Application, Config

from robotsim import KitError

from ..faults import see_there
from ..shown import as_name
from ..whole import write_whole
from ..words import typed
from .copies import copy_settings, release_preprocessors
from .lessons import LESSONS, find_lessons
from .roster import roster_of

__all__ = [
    "COLLECT", "CONFIG", "check_course", "check_place", "courses_near", "is_course", "make_course",
    "no_course", "settings",
]  # fmt: skip

CONFIG = "nbgrader_config.py"

COLLECT = (
    r".*/(?P<student_id>\w+?)_(?P<timestamp>[0-9\-]+)_(?:\d+-)?(?P<file_id>[A-Za-z]+)"
    r"(?: \(\d+\)|\.ipynb)?"
)
"""How a file that was handed in is named: LEARNER_2026-03-01-10-00-00_1-lamps.ipynb."""

# Marking stands on the course, which knows its parts by name alone; nbgrader loads them.
_RUN_CHECKS = "checks.marking.preprocessor.RunChecks"
_SERVED = "checks.marking.served.Served"
_READER = "checks.marking.submitted.SubmissionReader"
_MARKDOWN = "checks.marking.harmless.markdown"

_PASS_OVER = ("nbgrader-autograde", "nbgrader-generate-feedback", "nbgrader-release-feedback")
"""Commands of nbgrader's that heed whom a course passes over."""
_SPECIAL = set("+*?[](){}^$|")
_NOT_IN_A_COURSE = set("*?[]{}%#") | {"\n", "\r"}
"""nbgrader reads a course's path as a pattern and puts it into its database's address."""
_TEXT = '''\
"""nbgrader's settings for this course: the kit's, then your own."""

from pathlib import Path

from checks.course.config import settings

c = get_config()
settings(c, Path(__file__).resolve().parent{lessons})

# Your own settings go below this line, for example:
# c.LateSubmissionPlugin.penalty_method = "zero"
'''


def make_course(folder: Path, lessons: Path = LESSONS, *, stock: bool = False) -> Path:
    """Make a course folder; one that is there keeps everything in it.

    Args:
        folder: The course folder, anywhere outside the lessons.
        lessons: The folder of the lessons.
        stock: See `settings`.

    Returns:
        The folder.

    Raises:
        KitError: nbgrader could not work there.
    """
    folder, lessons = folder.resolve(), lessons.resolve()
    check_place(folder)
    _relative(folder, lessons)
    if folder == lessons or lessons in folder.parents:
        raise KitError("A course folder lies outside the lessons.", where=str(folder))
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "submitted").mkdir(exist_ok=True)
    config = folder / CONFIG
    if not config.exists():
        own = "" if lessons == LESSONS else f", Path({str(lessons)!r})"
        own += ", stock=True" if stock else ""
        write_whole(config, _TEXT.format(lessons=own).encode("utf-8"))
    return folder


def check_course(folder: Path) -> None:
    """See to it that a folder is a course's.

    Raises:
        KitError: It is none.
    """
    see_there(folder)
    if not (folder / CONFIG).is_file():
        raise no_course(folder)


def no_course(folder: Path, other: Path | None = None) -> KitError:
    """Say that a folder is no course's, and which one was probably meant.

    Args:
        folder: The folder.
        other: What was named behind it.
    """
    hint = "make one: `python3 checks course FOLDER --roster class.csv`"
    if other is not None and is_course(other):
        hint = f"the course comes first: `{typed(other)} {typed(folder)}`."
    elif near := courses_near(folder):
        hint = f"did you mean {' or '.join(map(str, near[:3]))}?"
    return KitError("This is no course folder.", where=str(folder), hint=hint)


def is_course(folder: Path) -> bool:
    """Tell whether a folder is a course's."""
    return (folder / CONFIG).is_file()


def courses_near(folder: Path) -> list[Path]:
    """Give the courses in a folder, the one that it lies in, and those beside it."""
    found: list[Path] = []
    for place in (folder, folder.parent):
        try:
            found += sorted(filter(is_course, place.iterdir()))
        except OSError:  # what may not be looked into has nothing to offer
            continue
    inside = [one for one in folder.parents if is_course(one)]
    return [one for one in dict.fromkeys([*inside, *found]) if one != folder]


def check_place(folder: Path) -> None:
    """See to it that nbgrader can work in a course folder of this path.

    Raises:
        KitError: It cannot.
    """
    bad = sorted(_NOT_IN_A_COURSE & set(str(folder)))
    if bad or not str(folder).isprintable():
        told = " ".join(bad) if bad and " ".join(bad).isprintable() else "a hidden sign"
        raise KitError(
            f"nbgrader cannot work in a course folder with {told} in its path.",
            where=str(folder), hint="move it to a folder with a plain name, or name another.",
        )  # fmt: skip


def settings(c: Config, root: Path, lessons: Path = LESSONS, *, stock: bool = False) -> None:
    """Set nbgrader up for a course.

    Args:
        c: nbgrader's configuration.
        root: The course folder.
        lessons: nbgrader's source directory: one folder a lesson.
        stock: Whether nbgrader runs the learners' cells itself, as it does everywhere else.  The
            scores of honest work are the same; what its cells may do to the marking is not.
    """
    c.CourseDirectory.root = str(root)
    c.CourseDirectory.course_id = root.name
    c.CourseDirectory.source_directory = _relative(root, lessons)
    # Marking several learners at once, a lock is waited for, not given up after 5 s.
    c.CourseDirectory.db_url = f"sqlite:///{(root / 'gradebook.db').as_posix()}?timeout=60"
    c.CourseDirectory.ignore = [".ipynb_checkpoints", "*.pyc", "feedback", *_others(lessons)]
    copy_settings(c)
    c.GenerateAssignment.preprocessors = release_preprocessors()
    c.OverwriteCells.add_missing_cells = True
    c.Execute.timeout = 120
    c.HTMLExporter.preprocessors = [_SERVED]
    if not stock:
        chain = Autograde.class_traits()["autograde_preprocessors"].default_args[0]
        ours = [_RUN_CHECKS if kind is Execute else kind for kind in chain]
        c.Autograde.autograde_preprocessors = ours
        c.Autograde.exporter_class = _READER
        # nbconvert would hold the notebook against its schema after each of twelve steps.
        c.NotebookExporter.optimistic_validation = True
        c.HTMLExporter.filters = {"markdown2html": _MARKDOWN}
        if left_alone := _strangers(root):
            c.CourseDirectory.student_id_exclude = ",".join(left_alone)
            _tell(left_alone)
    c.FileNameCollectorPlugin.named_regexp = COLLECT


def _strangers(root: Path) -> list[str]:
    """Give whose work is left as it is: who has handed in and has no row in the roster.

    nbgrader deletes what was marked before it asks for a mark, and again when none is given; so
    whoever would get none has to be passed over.  A roster that cannot be read is everybody's.
    """
    # nbgrader takes a list with commas between: no folder of another name is passed over with one.
    there = sorted(path.name for path in root.glob("submitted/*") if "," not in path.name)
    try:
        return [*filter(roster_of(root).lacks, there)]
    except KitError:
        return there


def _tell(names: Sequence[str]) -> None:
    """Say whom a command of nbgrader's passes over; nothing else that reads a course says it."""
    if Application.initialized() and Application.instance().name in _PASS_OVER:
        Application.instance().log.warning(
            "Not in the roster, so left as they are: %s. To put a row back counts them again.",
            ", ".join(map(as_name, names)),
        )


def _relative(root: Path, lessons: Path) -> str:
    """Give the way from the course to the lessons.

    nbgrader reads its source directory as a pattern: an absolute one fails on Windows, and
    characters with a meaning in patterns fail everywhere.
    """
    try:
        way = os.path.relpath(lessons, root)
    except ValueError as fault:
        raise KitError(
            "The course and the lessons are on two drives, which nbgrader cannot join.",
            where=str(root), hint="put the course folder on the drive of the kit.",
        ) from fault  # fmt: skip
    bad = sorted(_SPECIAL & set(way))
    if bad:
        raise KitError(
            f"nbgrader cannot read lessons from a folder with {' '.join(bad)} in its path.",
            where=str(lessons), hint="move the kit or the course to a folder with a plain name.",
        )  # fmt: skip
    return way


def _others(lessons: Path) -> list[str]:
    """Name what is in the folder of the lessons and is no lesson: nbgrader takes any for one."""
    known = {lesson.id for lesson in find_lessons(lessons)}
    return sorted({path.name for path in lessons.iterdir()} - known | {"__pycache__"})
