"""Exchange: nbgrader's own commands at a learner's seat, with the teacher's desk behind them.

nbgrader lets its exchange be replaced part by part (0.9.6, ExchangeFactory).  So `nbgrader submit
lamps` takes the copy that lies flat in the learner's folder to the desk, which knows whose it is;
no folder is needed in which everybody may write.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from nbgrader.exchange import abc

from robotsim import KitError

from ..course.lessons import Lesson, find_lessons, pick_lessons
from ..desk import Desk, desk_here
from ..home.handing import fetch_feedback, hand_over
from .seat import FOLDER

__all__ = ["FetchAssignment", "FetchFeedback", "List", "Submit"]


class _Seat:
    """What all of them need: nbgrader's log and its way to fail, the desk, the learner's folder."""

    log: Any
    fail: Any
    coursedir: Any

    def desk(self) -> Desk:
        found = desk_here()
        if found is None:
            self.fail("There is no teacher's desk here: this is no seat on a class's server.")
        assert found is not None
        return found

    @property
    def folder(self) -> Path:
        return Path.home() / FOLDER

    def lesson(self) -> Lesson:
        """Give the lesson that was named; nbgrader takes a path, too."""
        (lesson,) = pick_lessons([Path(self.coursedir.assignment_id).name])
        return lesson

    def say(self, words: str) -> None:
        for line in words.splitlines():
            self.log.info(line)


class Submit(_Seat, abc.ExchangeSubmit):  # type: ignore[misc]
    """`nbgrader submit LESSON`: a copy goes to the desk, as by the button on the home page."""

    def start(self) -> None:
        """Do it."""
        try:
            self.say(hand_over(self.desk(), self.folder, only=self.lesson().id))
        except KitError as trouble:
            self.fail(str(trouble))


class FetchFeedback(_Seat, abc.ExchangeFetchFeedback):  # type: ignore[misc]
    """`nbgrader fetch_feedback LESSON`: all that the desk has for this learner."""

    def start(self) -> None:
        """Do it."""
        try:
            self.say(fetch_feedback(self.desk(), self.folder))
        except KitError as trouble:
            self.fail(str(trouble))


class FetchAssignment(_Seat, abc.ExchangeFetchAssignment):  # type: ignore[misc]
    """`nbgrader fetch_assignment LESSON`: it is there already, by the seat's start."""

    def start(self) -> None:
        """Say where."""
        try:
            self.say(f"It is in your folder: {self.folder / self.lesson().file}")
        except KitError as trouble:
            self.fail(str(trouble))


class List(_Seat, abc.ExchangeList):  # type: ignore[misc]
    """`nbgrader list`, with `--inbound` what the desk has of this learner."""

    def start(self) -> list[dict[str, Any]]:
        """List, and give what was listed."""
        if self.remove:
            self.fail("What lies at the teacher's desk stays there; nothing is removed.")
        try:
            sent = json.loads(self.desk().ask("work")) if self.inbound or self.cached else None
        except KitError as trouble:
            self.fail(str(trouble))
        if sent is None:
            rows = [{"assignment_id": one.id, "status": "fetched",
                     "path": str(self.folder / one.file)} for one in find_lessons()]  # fmt: skip
            self.say("Lessons in your folder:")
            self.say("\n".join(f"{row['assignment_id']} ({row['path']})" for row in rows))
        else:
            rows = [{"assignment_id": lesson, "status": "submitted", "timestamp": when}
                    for lesson, when in sent]  # fmt: skip
            self.say("With your teacher:")
            self.say("\n".join(f"{row['assignment_id']} {row['timestamp']}" for row in rows))
        return rows
