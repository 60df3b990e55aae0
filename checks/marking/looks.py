"""Looks: which submissions deserve a person's look, and why, said neutrally with the evidence."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..course.programs import program_of
from .alike import groups_alike, offered
from .noted import faults_of, other_tug, state_of
from .store import Store
from .submitted import handed_out

__all__ = ["Look", "looks", "results_of"]

_NEAR = 0.8


@dataclass(frozen=True)
class Look:
    """One reason to look at a submission.

    Attributes:
        learner: Whose it is.
        lesson: The lesson.
        cell: The check, or "" for the whole submission.
        kind: "unread", "by hand", "error", "near miss", "other tug", "put in order" or "alike".
        words: The evidence.
        others: Learners whom the words speak of.
    """

    learner: str
    lesson: str
    cell: str
    kind: str
    words: str
    others: tuple[str, ...] = ()


def results_of(course: Path, learner: str, lesson: str) -> dict[str, dict[str, Any]]:
    """Give what came of a marked submission's checks, by the names of their cells."""
    store = Store(course)
    marks = state_of(course, learner, lesson).get("checks", {})
    found = {name: store.by_mark(mark) for name, mark in marks.items()}
    return {name: result.about for name, result in found.items() if result is not None}


def looks(course: Path, submissions: Sequence[tuple[str, str]]) -> list[Look]:
    """Give all reasons to look, in the order of learners, then what is alike.

    Args:
        course: The course folder.
        submissions: (learner, lesson) of all that were handed in.
    """
    found: list[Look] = []
    programs: dict[tuple[str, str], dict[str, str]] = defaultdict(dict)
    faults = faults_of(course)
    for learner, lesson in submissions:
        state = state_of(course, learner, lesson)
        if (learner, lesson) in faults:
            words = faults[learner, lesson].replace("\n", " ")
            found.append(Look(learner, lesson, "", "unread", words))
        found += [
            Look(learner, lesson, "", "put in order", note) for note in state.get("notes", ())
        ]
        if tugs := other_tug(state):
            words = "the runs that the file shows are of tug {}; it was marked with tug {}"
            found.append(Look(learner, lesson, "", "other tug", words.format(*tugs)))
        for cell, about in results_of(course, learner, lesson).items():
            found += _of_result(learner, lesson, cell, about)
            files = state.get("programs", {}).get(cell, {})
            name = _file_of(course, lesson, cell)
            if name in files:
                programs[lesson, cell][learner] = files[name]
    for (lesson, cell), texts in programs.items():
        found += _alike(course, lesson, cell, texts)
    return found


def _of_result(learner: str, lesson: str, cell: str, about: Mapping[str, Any]) -> Iterator[Look]:
    """Give the reasons that one check gives."""
    if "fault" in about:
        yield Look(learner, lesson, cell, "by hand", f"not checked: {about['fault'][0]}")
        return
    if about["problem"]:
        yield Look(learner, lesson, cell, "error", about["problem"].replace("\n", " "))
    points, most = float(about["points"]), about["most"]
    if _NEAR * most <= points < most:
        lost = [row for row in about["rows"] if row["points"] < row["most"]]
        told = "; ".join(f"{r['title']}: {r['measured']}, asked: {r['asked']}" for r in lost)
        yield Look(learner, lesson, cell, "near miss", f"{points:g} of {most:g}: {told}")


def _file_of(course: Path, lesson: str, cell: str) -> str:
    """Give the file that the program of a check is in."""
    for one in json.loads(handed_out(course, lesson))["cells"]:
        if one["metadata"].get("nbgrader", {}).get("grade_id") == f"{cell}-program":
            found = program_of("".join(one["source"]))
            return found[0] if found else ""
    return ""


def _share(least: float) -> str:
    percent = f"{100 * least:.0f} %"
    return "all" if percent == "100 %" else f"{percent} or more"


def _alike(course: Path, lesson: str, cell: str, texts: Mapping[str, str]) -> Iterator[Look]:
    """Give the programs of a task that are nearly the same, a look a group."""
    for group in groups_alike(texts, offered(handed_out(course, lesson))):
        words = (
            f"{_share(group.share)} of what was added to what the lesson offers is the "
            "same as in the nearest program of {others}, names and comments left aside. A short "
            "task has few ways to be done, and learners may have worked together: this says no "
            "more than that."
        )
        yield Look(group.learners[0], lesson, cell, "alike", words, group.learners[1:])
