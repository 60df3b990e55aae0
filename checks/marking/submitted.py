"""Submitted: where a course keeps what was handed in, and how nbgrader gets to read it."""

from __future__ import annotations

import hashlib
import json
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import nbformat
from nbconvert.exporters import NotebookExporter

from robotsim import KitError

from ..course.config import CONFIG
from ..course.roster import Roster, is_id
from ..course.shelf import SUBMITTED
from ..faults import halting
from ..whole import write_whole
from .client import Worker
from .requests import kit_mark
from .store import Store

__all__ = ["Submission", "SubmissionReader", "handed_out", "submissions"]


@dataclass(frozen=True)
class Submission:
    """One lesson of one learner.

    Attributes:
        learner: The learner's id.
        lesson: The lesson's id.
        file: The notebook.
        serial: The learner's tug; None for the kit's usual one.
        variant: The tables that it is marked on; 0 for the lesson's own.
        due: Until when it was to be handed in, by everybody and by this learner, in words.
    """

    learner: str
    lesson: str
    file: Path
    serial: int | None
    variant: int
    due: str = ""

    @property
    def name(self) -> str:
        """Whose it is and of what."""
        return f"{self.learner}, {self.lesson}"

    @property
    def content(self) -> str:
        """A name for what was handed in; another one means that something else has come."""
        return hashlib.sha256(self.file.read_bytes()).hexdigest()

    def mark(self, course: Path) -> str:
        """A name for all that its marking rests on; another one means that it is to be marked."""
        note = self.file.with_name("timestamp.txt")
        parts = [
            self.file.read_bytes(), handed_out(course, self.lesson), kit_mark().encode(),
            f"{self.serial} {self.variant}".encode(), note.read_bytes() if note.is_file() else b"",
            # What lateness costs rests on the dates, and on the plugin that the teacher has set.
            self.due.encode(), (course / CONFIG).read_bytes(),
        ]  # fmt: skip
        return hashlib.sha256(b"".join(hashlib.sha256(p).digest() for p in parts)).hexdigest()


def handed_out(course: Path, lesson: str) -> bytes:
    """Give the copy of a lesson that was handed out.

    Raises:
        KitError: It was not made.
    """
    try:
        return (course / "release" / lesson / f"{lesson}.ipynb").read_bytes()
    except OSError as fault:
        raise KitError(
            f"The lesson {lesson!r} was not handed out in this course.", where=str(course),
            hint="`python3 checks course FOLDER` makes the copies to hand out.",
        ) from fault  # fmt: skip


def submissions(course: Path, roster: Roster) -> Iterator[Submission | tuple[str, str, str]]:
    """Go through all that was handed in: a submission, or (learner, lesson, what is wrong)."""
    for folder in sorted((course / SUBMITTED).glob("*/*")):
        learner, lesson = folder.parent.name, folder.name
        if learner.startswith(".") or lesson.startswith(".") or not folder.is_dir():
            continue
        try:
            if not is_id(learner):
                raise KitError("This folder's name is no learner's id.", where=str(folder.parent),
                               hint="name it as the roster names the learner.")  # fmt: skip
            student = roster.as_marked(learner)
            file = _notebook(folder, lesson)
        except KitError as fault:
            yield learner, lesson, str(fault)
        except OSError as fault:
            if halt := halting(fault, folder):
                raise halt from fault
            yield learner, lesson, f"It cannot be read: {fault.strerror or fault}."
        else:
            due = f"{roster.due.get(lesson)} {student.due.get(lesson)}"
            yield Submission(learner, lesson, file, student.serial, student.variant or 0, due)


def _notebook(folder: Path, lesson: str) -> Path:
    """Give the notebook in a folder; one under another name is put under the lesson's."""
    for path in (folder, *folder.rglob("*")):
        kind = path.lstat().st_mode
        if not (stat.S_ISREG(kind) or stat.S_ISDIR(kind)):
            raise KitError("There is something here that is no plain file.",
                           where=str(path), hint="remove it.")  # fmt: skip
        if stat.S_ISDIR(kind) and path.suffix == ".ipynb":
            raise KitError("This folder has a notebook's name.", where=str(path),
                           hint="put the notebook in its place.")  # fmt: skip
        if not path.name.isprintable():
            raise KitError("A file here has a name that nbgrader cannot copy.", where=str(path),
                           hint="remove it, or give it a plain name.")  # fmt: skip
    wanted = folder / f"{lesson}.ipynb"
    if not wanted.exists():
        found = sorted(folder.glob("*.ipynb"))
        if len(found) != 1:
            raise KitError(
                f"Which of these is the notebook: {', '.join(p.name for p in found)}?"
                if found else "There is no notebook in this folder.",
                where=str(folder), hint=f"put it there as {wanted.name}.",
            )  # fmt: skip
        write_whole(wanted, found[0].read_bytes())
    return wanted


class SubmissionReader(NotebookExporter):
    """Reads a submission for nbgrader: brought in order first, so that nothing in it can trip."""

    def from_file(
        self, file_stream: Any, resources: dict[str, Any] | None = None, **kw: Any
    ) -> tuple[Any, dict[str, Any]]:
        """Read one file: as it is, but for one that a learner handed in."""
        converter: Any = self.parent
        if not getattr(converter, "_sanitizing", False) or not hasattr(file_stream, "name"):
            return super().from_file(file_stream, resources=resources, **kw)
        course = Path(converter.coursedir.root)
        lesson = (resources or {})["nbgrader"]["assignment"]
        data, pattern = Path(file_stream.name).read_bytes(), handed_out(course, lesson)
        store = Store(course)
        found = store.notebook(data, pattern, lesson)
        if found is None:
            ours = converter.config.RunChecks.get("programs_may_reach_this_computer", False)
            with Worker(unprotected=bool(ours)) as worker:
                found = store.notebook(data, pattern, lesson, worker)
        assert found is not None
        notebook = nbformat.from_dict(json.loads(found[1]))  # type: ignore[no-untyped-call]
        done: tuple[Any, dict[str, Any]] = self.from_notebook_node(  # type: ignore[no-untyped-call]
            notebook, resources=resources, **kw
        )
        return done
