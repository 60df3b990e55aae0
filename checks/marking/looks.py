"""Looks: which submissions deserve a person's look, and why, said neutrally with the evidence."""

from __future__ import annotations

import io
import json
import tokenize
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .marker import state_of
from .requests import program_of
from .store import Store
from .submitted import handed_out

__all__ = ["Look", "looks", "results_of"]

_NEAR = 0.8
_ALIKE = 0.9
_PIECE = 5
_LEAST = 40
_MOST_PAIRS = 400
"""More learners than this are compared by equal programs only, not each with each."""


@dataclass(frozen=True)
class Look:
    """One reason to look at a submission.

    Attributes:
        learner: Whose it is.
        lesson: The lesson.
        cell: The check, or "" for the whole submission.
        kind: "by hand", "error", "near miss", "put in order" or "alike".
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
    for learner, lesson in submissions:
        state = state_of(course, learner, lesson)
        if "fault" in state:
            words = str(state["fault"]).replace("\n", " ")
            found.append(Look(learner, lesson, "", "by hand", words))
        found += [
            Look(learner, lesson, "", "put in order", note) for note in state.get("notes", ())
        ]
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


def _alike(course: Path, lesson: str, cell: str, texts: Mapping[str, str]) -> Iterator[Look]:
    """Give the programs of a task that are nearly the same, with what was handed out left out."""
    given = set(_pieces(_starter(course, lesson, cell)))
    pieces = {who: frozenset(p for p in _pieces(text) if p not in given)
              for who, text in texts.items()}  # fmt: skip
    pieces = {who: own for who, own in pieces.items() if len(own) >= _LEAST}
    groups: dict[frozenset[str], list[str]] = defaultdict(list)
    for who, own in pieces.items():
        groups[own].append(who)
    for same in groups.values():
        if len(same) > 1:
            yield _alike_look(lesson, cell, same[0], same[1:], 1.0)
    if len(groups) > _MOST_PAIRS:
        return
    kinds = list(groups)
    for k, one in enumerate(kinds):
        for other in kinds[k + 1 :]:
            share = len(one & other) / len(one | other)
            if share >= _ALIKE:
                yield _alike_look(lesson, cell, groups[one][0], groups[other], share)


def _alike_look(lesson: str, cell: str, one: str, others: Sequence[str], share: float) -> Look:
    words = (
        f"{100 * share:.0f} % of what was added to the starter is also in the program of "
        f"{{others}}, names and comments left aside. A short task has few ways to be done, and "
        "learners may have worked together: this says no more than that."
    )
    return Look(one, lesson, cell, "alike", words, tuple(others))


def _starter(course: Path, lesson: str, cell: str) -> str:
    for one in json.loads(handed_out(course, lesson))["cells"]:
        if one["metadata"].get("nbgrader", {}).get("grade_id") == f"{cell}-program":
            return "".join(one["source"]).partition("\n")[2]
    return ""


def _pieces(text: str) -> Iterator[str]:
    """Give the runs of a few words that a program is made of, whatever its names are."""
    words = []
    try:
        for token in tokenize.generate_tokens(io.StringIO(text).readline):
            if token.type == tokenize.NAME:
                words.append(token.string if token.string in _KNOWN else "name")
            elif token.type in (tokenize.NUMBER, tokenize.STRING, tokenize.OP):
                words.append(token.string)
    except (tokenize.TokenError, SyntaxError, ValueError):
        words = text.split()
    for k in range(len(words) - _PIECE + 1):
        yield " ".join(words[k : k + _PIECE])


_KNOWN = set(
    "and as assert async await break class continue def del elif else except finally for from "
    "global if import in is lambda nonlocal not or pass raise return try while with yield Pin PWM "
    "ADC I2C Timer NeoPixel sleep sleep_ms range duty_u16 value write ticks_ms".split()
)
