"""Release: a learner's copies of the lessons, kept fresh and never overwritten.

The copies lie flat in one folder, numbered, so that the file browser shows them in order and a
learner sees at once what comes next.  What was handed out is noted in a small file beside them; a
copy that is still as handed out is replaced when its lesson changes, any other is left alone and
the new version is put beside it, once.  nbgrader is loaded only when a copy has to be made.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from robotsim import KitError
from robotsim.locker import BOARDS

from ..whole import write_whole
from .lessons import LESSONS, Lesson, find_lessons
from .marked import unmarked_copy

__all__ = ["BOARDS_NOTE", "BOARDS_WORDS", "NOTES", "handed_out", "make_boards", "release"]

NOTES = ".quayside.json"
"""The file that notes what was handed out."""

BOARDS_NOTE = "READ ME.txt"
BOARDS_WORDS = """\
The programs on your tug's board, as files: a folder for each notebook, and in its folder "earlier"
what each program was before. They are kept from one day to the next as long as this folder is here.

You hand in notebooks. A file here that no cell of your notebook holds is not handed in.
"""

_FORM = "2"
"""Changed when copies are made in another way, so that all are made anew."""


@dataclass
class _Handed:
    """What was handed out of one lesson.

    Attributes:
        lesson: Mark of the lesson that was handed out last.
        copies: Marks of all copies ever written: a file that bears one is as handed out.
    """

    lesson: str = ""
    copies: list[str] = field(default_factory=list)


def release(folder: Path, lessons: Path = LESSONS) -> Iterator[str]:
    """Put copies of all lessons into a learner's folder.

    Args:
        folder: The learner's folder; made if it is not there.
        lessons: The folder of the lessons.

    Yields:
        A plain line for each thing done, as it is done.

    Raises:
        KitError: The folder cannot be used.
    """
    if folder.resolve() == lessons.resolve() or lessons.resolve() in folder.resolve().parents:
        raise KitError(
            "The learner's folder lies inside the lessons themselves.", where=str(folder),
            hint="name a folder of your own.",
        )  # fmt: skip
    try:
        folder.mkdir(parents=True, exist_ok=True)
        make_boards(folder)
        notes, doubt = _read_notes(folder / NOTES)
        yield from doubt
        quiet = True
        for lesson in find_lessons(lessons):
            for line in _hand_out(lesson, folder, notes.setdefault(lesson.id, _Handed())):
                quiet = False
                # Noted before it is told: whoever stops listening here has a true note.
                _write_notes(folder / NOTES, notes)
                yield line
        if quiet:
            yield f"Your lessons in {folder} are up to date."
    except OSError as fault:
        raise KitError(
            f"The learner's folder cannot be used: {fault.strerror or fault}.",
            where=str(fault.filename or folder), hint="name a folder that you may write to.",
        ) from fault  # fmt: skip


def handed_out(lesson: Lesson) -> bytes:
    """Give the copy of a lesson that learners get of this kit; empty where it is not built."""
    return _copy_of(lesson.notebook.read_bytes(), lesson) if lesson.notebook.exists() else b""


def make_boards(folder: Path) -> None:
    """Make the folder in which programs are kept from one day to the next."""
    boards = folder / BOARDS
    if not boards.exists():
        boards.mkdir()
        write_whole(boards / BOARDS_NOTE, BOARDS_WORDS.encode())


def _hand_out(lesson: Lesson, folder: Path, handed: _Handed) -> Iterator[str]:
    if not lesson.notebook.exists():
        return
    built = lesson.notebook.read_bytes()
    mark = _mark(_FORM.encode() + built)
    target = folder / lesson.file
    if target.is_dir():
        yield f"{target.name}: a folder has this name; rename it to get the lesson"
        return
    there = target.exists()
    if there and handed.lesson == mark:
        return
    fresh = _copy_of(built, lesson)
    clean = not there or _is_untouched(target.read_bytes(), [*handed.copies, *_marks(fresh)])
    place = target if clean else _beside(target, handed.copies)
    same = place.exists() and place.read_bytes() == fresh
    if not same:
        write_whole(place, fresh)
    handed.lesson = mark
    new = _marks(fresh)
    handed.copies = [*(m for m in handed.copies if m not in new), *new]
    if not clean:
        yield (
            f"{target.name}: the lesson has changed, and so has your copy. Yours is left as it is;"
            f" the new version is beside it: {place.name}"
        )
    elif not there:
        yield f"{target.name}: new ({lesson.title})"
    elif not same:
        yield f"{target.name}: brought up to date; you had not changed it"
    else:
        yield f"{target.name}: is the newest already"


def _beside(target: Path, copies: list[str]) -> Path:
    """Give the name under which a new version may stand beside a learner's own."""
    count = 1
    while True:
        number = f" {count}" if count > 1 else ""
        place = target.with_name(f"{target.stem} (new version{number}){target.suffix}")
        if not place.exists() or _is_untouched(place.read_bytes(), copies):
            return place
        count += 1


def _copy_of(built: bytes, lesson: Lesson) -> bytes:
    if (copy := unmarked_copy(built)) is not None:
        return copy
    from .copies import learner_copy

    return learner_copy(built, lesson)


def _mark(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _marks(data: bytes) -> list[str]:
    """Give a copy's marks: of the file, and of what a person would call the same notebook.

    JupyterLab notes its kernel in every notebook that it saves, also in one that was only opened.
    """
    try:
        cells = json.loads(data)["cells"]
        plain = [
            (cell["cell_type"], "".join(cell["source"]), cell.get("outputs")) for cell in cells
        ]
        return [_mark(data), _mark(json.dumps(plain).encode())]
    except (ValueError, KeyError, TypeError):
        return [_mark(data)]


def _is_untouched(data: bytes, copies: list[str]) -> bool:
    """Tell whether a file is as one of the copies was handed out."""
    return any(mark in copies for mark in _marks(data))


def _read_notes(path: Path) -> tuple[dict[str, _Handed], list[str]]:
    """Read the notes; damaged ones cost nothing but a line, since files are then left alone."""
    if not path.exists():
        return {}, []
    try:
        plain: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
        notes = {name: _Handed(**entry) for name, entry in plain.items()}
        if not all(isinstance(mark, str) for entry in notes.values() for mark in entry.copies):
            raise TypeError(plain)
        return notes, []
    except (ValueError, TypeError, AttributeError):
        return {}, [f"{path.name} is damaged: your files are all taken for changed and left alone"]


def _write_notes(path: Path, notes: dict[str, _Handed]) -> None:
    plain = {name: asdict(entry) for name, entry in notes.items()}
    write_whole(path, json.dumps(plain, indent=1, sort_keys=True).encode())
