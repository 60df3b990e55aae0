"""Feedback: the pages that go back to learners, each with what can be played again."""

from __future__ import annotations

import hashlib
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from checks import TASKS
from robotsim import KitError, Recording

from ..course.classroom import OWN, PACKS, write_whole
from ..course.desk import Desk
from ..faults import halting
from ..shown import on_page
from ..whole import whole_file
from .client import Result
from .evidence import lost_trial
from .marker import state_of
from .served import FETCHES_NOTHING
from .store import Store

__all__ = ["feedback"]

_HEAD = (
    '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">'
    + FETCHES_NOTHING.format(more="; script-src 'unsafe-inline'; connect-src data: blob:")
    + "<title>{title}</title></head>"
    + '<body style="font-family:system-ui,sans-serif;max-width:70em;margin:1em auto;padding:0 1em">'
    "<h1>{title}</h1>{card}"
)


def feedback(course: Path, learners: Sequence[str] = (), *, again: bool = False) -> Iterator[str]:
    """Write the feedback of all that is marked and has changed, and pack it to send it back.

    Beside nbgrader's page of a lesson stand, for each check that lost points, its recordings and
    a page on which they can be played again.

    Args:
        course: The course folder.
        learners: Whose; everybody's if none is named.
        again: Write also what has not changed.

    Yields:
        A line for each lesson, and for each page that could not be written.
    """
    desk = Desk(course)
    course = desk.course
    store = Store(course)
    lessons: dict[str, list[int]] = {}
    for path in sorted((course / "autograded").glob("*/*/*.ipynb")):
        learner, lesson = path.parts[-3:-1]
        if path.stem != lesson or not path.is_file():  # what else a learner handed in
            continue
        if learners and learner not in learners:
            continue
        counts = lessons.setdefault(lesson, [0, 0])
        counts[1] += 1
        note = course / OWN / "fed back" / learner / lesson
        try:
            mark = _mark(desk, path, learner, lesson)
            if not again and note.is_file() and note.read_text(encoding="ascii") == mark:
                continue
            desk.feedback(lesson, learner)
            _replays(store, course, learner, lesson)
        except Exception as fault:
            if halt := halting(fault):
                raise halt from fault
            kind = "" if isinstance(fault, KitError) else f"{type(fault).__name__}: "
            yield f"{learner}, {lesson}: no page: {kind}{' '.join(str(fault).split())[:400]}"
            continue
        write_whole(note, mark.encode("ascii"))
        counts[0] += 1
    for lesson, (written, total) in lessons.items():
        pack = _pack(course, lesson)
        yield f"{lesson}: {written} of {total} pages written anew; to send back: {pack}"


def _mark(desk: Desk, path: Path, learner: str, lesson: str) -> str:
    """A name for all that a page shows: the marked notebook, points and comments."""
    with desk.gradebook() as book:
        one = book.find_submission(lesson, learner)
        shown = [(n.name, n.late_submission_penalty,
                  sorted((g.name, g.score, g.needs_manual_grade) for g in n.grades),
                  sorted((c.name, c.comment or "") for c in n.comments))
                 for n in one.notebooks]  # fmt: skip
    return hashlib.sha256(path.read_bytes() + repr(shown).encode()).hexdigest()


def _replays(store: Store, course: Path, learner: str, lesson: str) -> None:
    """Put recordings and replay pages beside a page of feedback."""
    folder = course / "feedback" / learner / lesson
    for cell, mark in state_of(course, learner, lesson).get("checks", {}).items():
        result = store.by_mark(mark)
        trial = lost_trial(result) if result is not None else None
        if result is not None and trial is not None:
            for number, data in enumerate(result.recordings):
                write_whole(folder / f"{cell}-{number + 1}.recording", data)
            write_whole(folder / f"{cell}.html", _page(result, trial).encode("utf-8"))


def _page(result: Result, trial: int) -> str:
    """Give a page with a card and the trial in which most was lost, to be played again."""
    from robotsim.show.player import page, replay_data

    about = result.about
    recording = Recording.from_bytes(result.recordings[trial])
    rows = [r for r in about["rows"] if r["at"] is not None and r["trial"] == trial
            and r["points"] < r["most"]]  # fmt: skip
    marks = [(row["at"], row["title"]) for row in rows]
    data = replay_data([recording], marks=marks, targets=TASKS[about["task"]].targets)
    head = _HEAD.format(title=on_page(about["title"]), card=about["card"])
    return f"{head}{page(data)}</body></html>"


def _pack(course: Path, lesson: str) -> Path:
    """Put one lesson's pages into one file, a folder a learner."""
    path = course / PACKS / f"feedback-{lesson}.zip"
    with whole_file(path) as part, zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as pack:
        for file in sorted((course / "feedback").glob(f"*/{lesson}/*")):
            if file.suffix in (".html", ".recording"):
                pack.write(file, f"{file.parts[-3]}/{file.name}")
    return path
