"""Pages: the writing of the pages that go back, by as many processes as there are cores.

A page costs more than its reading: its replays are packed anew.  No two pages share a file, so each
process opens the gradebook once, reads only, and writes its own share.
"""

from __future__ import annotations

import hashlib
import multiprocessing
import os
import shutil
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import ExitStack
from pathlib import Path
from typing import Any, NamedTuple

from checks import TASKS
from robotsim import KitError, Recording

from ..course.classroom import OWN
from ..course.open_course import OpenCourse
from ..faults import HaltError, halting
from ..shown import on_page
from ..whole import write_whole
from .client import Result
from .decided import reasons
from .evidence import lost_trial
from .noted import state_of
from .returned import read_back
from .returned_page import returned_page
from .served import FETCHES_NOTHING
from .store import Store

__all__ = ["WORTH", "Done", "page_files", "write_pages"]

_HEAD = (
    '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">'
    + FETCHES_NOTHING.format(more="; script-src 'unsafe-inline'; connect-src data: blob:")
    + "<title>{title}</title></head>"
    + '<body style="font-family:system-ui,sans-serif;max-width:70em;margin:1em auto;padding:0 1em">'
    "<h1>{title}</h1>{card}"
)


_FORM = "6"
"""Changed when pages are made in another way, so that all are made anew."""
_EXCHANGE = ("timestamp.txt", "submission_secret.txt")
"""What nbgrader's exchange reads beside a page (nbgrader 0.9.6, ExchangeReleaseFeedback)."""
WORTH = 100
"""From so many pages on others are started: a page takes 0.04 s, a process two to begin."""


class Done(NamedTuple):
    """What came of one page.

    Attributes:
        path: The marked notebook that it is of.
        written: Whether the page was written anew.
        trouble: Why there is none, "" if there is one.
        halt: What ends the whole command: what, where, hint; None if nothing does.
    """

    path: Path
    written: bool = False
    trouble: str = ""
    halt: tuple[str, str, str] | None = None


class _Hand:
    """One process's way to the course: its gradebook is opened once for all pages."""

    def __init__(self, course: Path, again: bool, with_scheme: bool) -> None:
        opened = OpenCourse(course)
        self.store, self.again, self.with_scheme = Store(opened.course), again, with_scheme
        self.stack = ExitStack()
        self.book = self.stack.enter_context(opened.gradebook())

    def write(self, path: Path) -> Done:
        """Write one page; a fault costs this page alone, unless it would cost the others too."""
        try:
            return Done(path, _write(self.store, self.book, path, again=self.again,
                                     with_scheme=self.with_scheme))  # fmt: skip
        except Exception as fault:
            if halt := halting(fault):
                return Done(path, halt=(halt.what, halt.where, halt.hint))
            kind = "" if isinstance(fault, KitError) else f"{type(fault).__name__}: "
            return Done(path, trouble=f"{kind}{' '.join(str(fault).split())[:400]}")


def page_files(course: Path, lesson: str) -> dict[str, list[Path]]:
    """Give what goes back of a lesson: learner to the files of the page that lies there.

    Whoever packs or counts pages asks here: one whose learner's next file waits for `mark` lies
    there still.
    """
    pages = sorted((course / "feedback").glob(f"*/{lesson}/{lesson}.html"))
    return {page.parts[-3]: [file for file in sorted(page.parent.iterdir())
                             if file.suffix in (".html", ".recording")] for page in pages}


_hand: _Hand | None = None
"""A process of the crew keeps its own here."""


def write_pages(
    course: Path, paths: Sequence[Path], *, again: bool, with_scheme: bool
) -> Iterator[Done]:
    """Write the pages of marked notebooks, in their order.

    Args:
        course: The course folder.
        paths: The marked notebooks; for points without one, the place where it would be.
        again: Write also what has not changed.
        with_scheme: Show how answers in words are marked.

    Yields:
        What came of each.

    Raises:
        HaltError: What would spoil every other page too.
    """
    cores = os.cpu_count() or 1
    if cores == 1 or len(paths) < WORTH:
        hand = _Hand(course, again, with_scheme)
        with hand.stack:
            yield from map(_going_on, map(hand.write, paths))
        return
    crew = ProcessPoolExecutor(
        max(2, min(cores, len(paths) // 8)), multiprocessing.get_context("spawn"), _begin,
        (course, again, with_scheme),
    )  # fmt: skip
    try:
        yield from map(_going_on, crew.map(_in_crew, paths, chunksize=4))
    finally:
        crew.shutdown(cancel_futures=True)


def _going_on(done: Done) -> Done:
    if done.halt is not None:
        what, where, hint = done.halt
        raise HaltError(what, where=where, hint=hint)
    return done


def _begin(course: Path, again: bool, with_scheme: bool) -> None:
    global _hand
    _hand = _Hand(course, again, with_scheme)


def _in_crew(path: Path) -> Done:
    assert _hand is not None
    return _hand.write(path)


def _write(store: Store, book: Any, path: Path, *, again: bool, with_scheme: bool) -> bool:
    """Write one learner's page of a lesson, unless it is there and right; tell whether it was."""
    learner, lesson = path.parts[-3:-1]
    submission = book.find_submission(lesson, learner)
    said = reasons(store.course, learner, lesson)
    mark = _mark(submission, path, (with_scheme, said))
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


def _mark(submission: Any, path: Path, more: object) -> str:
    """A name for all that a page shows: the marked notebook, who, points, comments and `more`."""
    who = submission.student
    shown = [(n.name, n.late_submission_penalty,
              sorted((g.name, g.score, g.needs_manual_grade) for g in n.grades),
              sorted((c.name, c.comment or "") for c in n.comments))
             for n in submission.notebooks]  # fmt: skip
    about = (_FORM, more, who.first_name, who.last_name, submission.total_seconds_late)
    notebook = path.read_bytes() if path.is_file() else b""
    return hashlib.sha256(notebook + repr((about, shown)).encode()).hexdigest()


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
