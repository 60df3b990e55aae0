"""Open course: nbgrader's own classes for one course, in this process.

Each of nbgrader's commands takes about 1.7 s to start.  Here its converters and its gradebook are
used directly, with the course's own configuration, so that one start serves a whole class.
"""

from __future__ import annotations

import functools
import logging
import sqlite3
import sys
import traceback
import warnings
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from robotsim import KitError

from ..faults import HaltError, halting
from ..whole import write_whole
from .config import CONFIG, check_course, check_place
from .entry import one_entry
from .heeded import unknown_classes, unknown_option
from .roster import roster_of
from .schemas import share_schemas

__all__ = ["OpenCourse"]


class OpenCourse:
    """A course, opened for nbgrader's work.

    Args:
        course: The course folder.

    Raises:
        KitError: It is no course, or its configuration cannot be read or sets what is not there.
    """

    def __init__(self, course: Path) -> None:
        self.course = course.resolve()
        check_course(self.course)
        check_place(self.course)
        from nbgrader.coursedir import CourseDirectory

        _share_what_is_worked_out()
        self._open: Any = None
        self.config = _load(self.course)
        if words := unknown_option(self.config, self.course):
            raise _wrong(self.course, words)
        self.coursedir: Any = CourseDirectory(config=self.config)
        try:
            _begin(self.course / "gradebook.db")
            with self.gradebook():
                pass
        except Exception as fault:
            if halt := halting(fault) or _no_room(self.course):
                raise halt from fault
            raise KitError(
                f"The gradebook cannot be opened: {type(fault).__name__}: {str(fault)[:300]}",
                where=str(self.course / "gradebook.db"), hint="put a copy of it in its place.",
            ) from fault  # fmt: skip

    @contextmanager
    def gradebook(self) -> Iterator[Any]:
        """Open the gradebook; within an `entry`, give the one that is open."""
        from nbgrader.api import Gradebook

        if self._open is not None:
            yield self._open
            return
        book = Gradebook(self.coursedir.db_url, self.coursedir.course_id)
        try:
            with warnings.catch_warnings():
                # SQLAlchemy has something to say of how nbgrader adds a first submission.
                warnings.simplefilter("ignore")
                yield book
        finally:
            book.close()

    @contextmanager
    def entry(self) -> Iterator[None]:
        """Enter all that is done within, by nbgrader's converters too; if it fails, nothing."""
        with self.gradebook() as book, one_entry(book):
            self._open = book
            try:
                yield
            finally:
                self._open = None

    @property
    def doubtful(self) -> list[str]:
        """What a person should know of settings of classes that are not here."""
        return [*unknown_classes(self.config, self.course)]

    def generate(self, lesson: str) -> None:
        """Make a lesson's release copy and note its cells in the gradebook."""
        from nbgrader.converters import GenerateAssignment

        self._convert(GenerateAssignment, lesson, ".")

    def autograde(self, lesson: str, learner: str) -> None:
        """Mark one submission as nbgrader does, in the place of an earlier marking.

        Raises:
            KitError: It failed, or is of nobody in the roster, whom nbgrader passes over.
        """
        roster_of(self.course).as_marked(learner)
        from nbgrader.converters import Autograde

        self._convert(Autograde, lesson, learner)

    def _convert(self, kind: type[Any], lesson: str, learner: str) -> None:
        """Run one of nbgrader's converters.

        Raises:
            KitError: It failed; carries what it said.
            HaltError: It failed by the disk's fault, which the next one would meet too.
        """
        self.coursedir.assignment_id, self.coursedir.student_id = lesson, learner
        try:
            converter = kind(coursedir=self.coursedir, config=self.config)
        except Exception as fault:
            raise _misset(self.course, fault) or fault from fault
        converter.force = True
        said = _Said()
        # One logger serves all of nbgrader's objects; what it says is kept for the case of trouble.
        log = converter.log
        log.addHandler(said)
        before, log.propagate = log.propagate, False
        others = [h for h in log.handlers if h is not said]
        for other in others:
            log.removeHandler(other)
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                converter.start()
        except Exception as fault:
            theirs = self.course / "submitted" / learner
            for one in (fault, *said.faults):
                if halt := halting(one, theirs) or _misset(self.course, one):
                    raise halt from fault
            words = "\n".join(said.errors[-6:]) or f"{type(fault).__name__}: {fault}"
            raise KitError(f"nbgrader could not do this:\n{words}", where=learner) from fault
        finally:
            log.propagate = before
            log.removeHandler(said)
            for other in others:
                log.addHandler(other)


def _begin(place: Path) -> None:
    """Make a gradebook that knows the version of its tables, where there is none yet.

    nbgrader would start a program to ask for it: two seconds, and by a name that nobody finds while
    the environment is not activated.
    """
    if place.exists() and place.stat().st_size:
        return
    from alembic.script import ScriptDirectory
    from nbgrader.dbutil import ALEMBIC_DIR

    version = ScriptDirectory(ALEMBIC_DIR).get_current_head()
    with closing(sqlite3.connect(place)) as book, book:
        book.execute("CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL)")
        book.execute("INSERT INTO alembic_version VALUES (?)", (version,))


class _Said(logging.Handler):
    """Keeps complaints."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.errors: list[str] = []
        self.faults: list[BaseException] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep one, and what is being handled: nbgrader tells some of that in its log alone."""
        fault = sys.exc_info()[1]
        if fault is not None and fault not in self.faults:
            self.faults.append(fault)
        if record.levelno >= logging.ERROR:
            self.errors.append(record.getMessage().strip()[-600:])


@functools.cache
def _share_what_is_worked_out() -> None:
    """Let what nbgrader would work out at each opening and each cell be worked out once.

    SQLAlchemy would learn every query anew with each opening of the gradebook, a third of what
    entering the scores costs.
    """
    from nbgrader import api

    api.create_engine = functools.cache(api.create_engine)
    share_schemas()


def _no_room(course: Path) -> HaltError | None:
    """Tell whether nothing can be written there: a program that makes the gradebook says no why."""
    trial = course / ".trial"
    try:
        write_whole(trial, bytes(64 * 1024))
        trial.unlink()
    except OSError as fault:
        return halting(fault)
    return None


def _misset(course: Path, fault: BaseException) -> HaltError | None:
    """Tell of a setting that nbgrader cannot take: every other submission would meet it too.

    It is one only where it was raised while settings were read, which no learner's file can be.
    """
    from traitlets import TraitError

    frames = (frame.f_code.co_name for frame, _ in traceback.walk_tb(fault.__traceback__))
    if not isinstance(fault, TraitError) or "_load_config" not in frames:
        return None
    return _wrong(course, " ".join(str(fault).split()))


def _wrong(course: Path, words: str) -> HaltError:
    return HaltError(f"A setting of the course is wrong: {words}",
                     where=str(course / CONFIG), hint="mend what you added to it.")  # fmt: skip


def _load(course: Path) -> Any:
    from traitlets.config.loader import PyFileConfigLoader

    try:
        return PyFileConfigLoader(CONFIG, path=str(course)).load_config()
    except KitError:
        raise
    except Exception as fault:
        if halt := halting(fault):
            raise halt from fault
        raise KitError(
            f"The course's configuration cannot be read: {type(fault).__name__}: {fault}",
            where=str(course / CONFIG), hint="mend what you added to it.",
        ) from fault  # fmt: skip
