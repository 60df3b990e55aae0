"""Feedback: the pages that go back to learners, each with what can be played again.

The page stands where nbgrader would put its own, and beside it what its exchange asks for, so that
`nbgrader release_feedback` works.
"""

from __future__ import annotations

import hashlib
import shutil
import zipfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

from checks import TASKS
from robotsim import KitError, Recording, UnknownNameError

from ..course.classroom import OWN, PACKS, write_whole
from ..course.desk import Desk
from ..faults import halting
from ..shown import on_page
from ..whole import whole_file
from .client import Result
from .evidence import lost_trial
from .marker import state_of
from .progress import Progress
from .returned import read_back
from .returned_page import returned_page
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


_FORM = "2"
"""Changed when pages are made in another way, so that all are made anew."""
_EXCHANGE = ("timestamp.txt", "submission_secret.txt")
"""What nbgrader's exchange reads beside a page (nbgrader 0.9.6, ExchangeReleaseFeedback)."""


def feedback(
    course: Path, learners: Sequence[str] = (), *, again: bool = False, with_scheme: bool = False,
    progress: Callable[[int], Progress] | None = None,
) -> Iterator[str]:  # fmt: skip
    """Write the feedback of all that is marked and has changed, and pack it to send it back.

    Beside a learner's page of a lesson stand, for each check that lost points, its recordings and
    a page on which they can be played again.

    Args:
        course: The course folder.
        learners: Whose; everybody's if none is named.
        again: Write also what has not changed.
        with_scheme: Show on the pages how answers in words are marked.
        progress: Makes what shows how far it is, from the number of pages.

    Yields:
        A line for each page that could not be written, then one for each lesson.

    Raises:
        UnknownNameError: Nothing of a learner is marked.
    """
    desk = Desk(course)
    store = Store(desk.course)
    pages = [path for path in sorted((desk.course / "autograded").glob("*/*/*.ipynb"))
             if path.stem == path.parts[-2] and path.is_file()
             and (not learners or path.parts[-3] in learners)]  # fmt: skip
    known = {path.name for path in (desk.course / "autograded").glob("*")}
    for name in learners:
        if name not in known:
            raise UnknownNameError("learner with marked work", name, known)
    if not pages:
        yield "Nothing is marked yet, so nothing goes back. First: `python3 checks mark FOLDER`"
    lessons: dict[str, list[int]] = {}
    troubles: list[str] = []
    bar = progress(len(pages)) if progress else None
    # One opening of the gradebook for all: nbgrader's own way opens it four times a page.
    with desk.gradebook() as book:
        for path in pages:
            learner, lesson = path.parts[-3:-1]
            counts = lessons.setdefault(lesson, [0, 0])
            counts[1] += 1
            try:
                counts[0] += _write(store, book, path, again=again, with_scheme=with_scheme)
            except Exception as fault:
                if halt := halting(fault):
                    raise halt from fault
                kind = "" if isinstance(fault, KitError) else f"{type(fault).__name__}: "
                words = f"{kind}{' '.join(str(fault).split())[:400]}"
                troubles.append(f"{learner}, {lesson}: no page: {words}")
            if bar:
                bar.step(f"{learner}, {lesson}")
    if bar:
        bar.end()
    yield from troubles
    for lesson, (written, total) in lessons.items():
        pack = _pack(desk.course, lesson)
        yield f"{lesson}: {written} of {total} pages written anew; to send back: {pack}"


def _write(store: Store, book: Any, path: Path, *, again: bool, with_scheme: bool) -> bool:
    """Write one learner's page of a lesson, unless it is there and right; tell whether it was."""
    learner, lesson = path.parts[-3:-1]
    submission = book.find_submission(lesson, learner)
    mark = _mark(submission, path, with_scheme)
    note = store.course / OWN / "fed back" / learner / lesson
    page = store.course / "feedback" / learner / lesson / f"{lesson}.html"
    if not again and page.is_file() and note.is_file() and note.read_text("ascii") == mark:
        return False
    text = returned_page(read_back(store, submission, path), with_scheme=with_scheme)
    if page.parent.is_dir():
        shutil.rmtree(page.parent)  # what an earlier marking left there is no longer true
    _replays(store, store.course, learner, lesson)
    for beside in (path.with_name(name) for name in _EXCHANGE):
        if beside.is_file():
            write_whole(page.with_name(beside.name), beside.read_bytes())
    write_whole(page, text.encode("utf-8"))
    write_whole(note, mark.encode("ascii"))
    return True


def _mark(submission: Any, path: Path, with_scheme: bool) -> str:
    """A name for all that a page shows: the marked notebook, who, points and comments."""
    who = submission.student
    shown = [(n.name, n.late_submission_penalty,
              sorted((g.name, g.score, g.needs_manual_grade) for g in n.grades),
              sorted((c.name, c.comment or "") for c in n.comments))
             for n in submission.notebooks]  # fmt: skip
    about = (_FORM, with_scheme, who.first_name, who.last_name, submission.total_seconds_late)
    return hashlib.sha256(path.read_bytes() + repr((about, shown)).encode()).hexdigest()


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
