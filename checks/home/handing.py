"""Handing: from a seat on a class's server to the teacher's desk, and feedback back.

Only where a hub has started this server is there a desk; elsewhere work is handed in as one file.
"""

from __future__ import annotations

import io
import zipfile
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath

from robotsim import KitError

from ..course.lessons import LESSONS
from ..desk import Desk
from ..whole import write_whole
from .deeds import amiss, astray, begun
from .progress import look

__all__ = ["FEEDBACK", "feedback_pages", "fetch_feedback", "hand_over"]

FEEDBACK = "feedback"
"""The folder in a learner's own that feedback is laid into."""
_KINDS = (".html", ".recording")


def hand_over(desk: Desk, folder: Path, lessons: Path = LESSONS, *, only: str = "") -> str:
    """Hand in all notebooks that were worked at; give words on it.

    Args:
        desk: The teacher's desk.
        folder: The learner's folder.
        lessons: The folder of the lessons.
        only: One lesson alone.

    Raises:
        KitError: No lesson has been begun, or the desk did not take one.
    """
    told = []
    for one in begun(folder, lessons, only):
        data = (folder / one.lesson.file).read_bytes()
        when = desk.ask(f"work/{one.lesson.id}", data).decode("ascii", "replace")
        why = amiss(data, one)
        told.append(f"{one.lesson.title}: with your teacher since {_here(when)}" + (
            f". But look: {why}" if why else ""))  # fmt: skip
    told += astray(folder, lessons, only)
    return "Handed in. Your own copy stays here, and you may hand in again.\n" + "\n".join(told)


def fetch_feedback(desk: Desk, folder: Path) -> str:
    """Lay the feedback that the desk has into the learner's folder; give words on it.

    Raises:
        KitError: The desk cannot be reached, or the folder cannot be written to.
    """
    pack = zipfile.ZipFile(io.BytesIO(desk.ask("feedback")))
    count = 0
    try:
        for entry in pack.infolist():
            parts = PurePosixPath(entry.filename).parts
            if len(parts) == 2 and ".." not in parts and parts[1].endswith(_KINDS):
                place, data = folder.joinpath(FEEDBACK, *parts), pack.read(entry)
                if not place.is_file() or place.read_bytes() != data:
                    write_whole(place, data)
                    count += place.suffix == ".html" and place.stem == parts[0]
    except OSError as fault:
        raise KitError(
            f"Feedback could not be laid into your folder: {fault.strerror or fault}.",
            where=str(fault.filename or folder), hint="is the disk full?",
        ) from fault  # fmt: skip
    if not pack.namelist():
        return "There is no feedback for you yet."
    return f"New feedback: {count} page{'' if count == 1 else 's'}." if count else "Nothing new."


def feedback_pages(folder: Path, lessons: Path = LESSONS) -> dict[str, str]:
    """Give the pages of feedback that a learner has: title of the lesson to path in the folder."""
    pages = {one.lesson.title: f"{FEEDBACK}/{one.lesson.id}/{one.lesson.id}.html"
             for one in look(folder, lessons)}  # fmt: skip
    return {title: path for title, path in pages.items() if (folder / path).is_file()}


def _here(when: str) -> str:
    """Give a time of the desk as this place writes it."""
    try:
        told = datetime.strptime(when, "%Y-%m-%d %H:%M:%S.%f UTC").replace(tzinfo=UTC)
    except ValueError:
        return when
    return f"{told.astimezone():%Y-%m-%d %H:%M}"
