"""Noted: what marking keeps of each submission, beside the gradebook."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ..course.classroom import MARKED, OWN
from ..course.shelf import SUBMITTED
from ..whole import write_whole

__all__ = [
    "faults_of", "is_settled", "note_settled", "other_tug", "state_of", "was_tried", "write_fault",
    "write_state",
]  # fmt: skip

_SETTLED, _TRIED = "settled", "tried"


def state_of(course: Path, learner: str, lesson: str) -> dict[str, Any]:
    """Give what was noted when a submission was marked; empty if it never was."""
    try:
        plain = json.loads(_place(course, learner, lesson).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return plain if isinstance(plain, dict) else {}


def other_tug(state: Mapping[str, Any]) -> tuple[int, int] | None:
    """Give the tug of which a file shows its runs and the one that it was marked with; or None."""
    shown, marked = state.get("tugs", (None, None))
    return None if shown in (None, marked) else (shown, marked)


def faults_of(course: Path) -> dict[tuple[str, str], str]:
    """Give (learner, lesson) of what was handed in and could not be marked, with the words.

    What a person has given all points of needs nobody any more, nor does a file after which
    another one has come: that one waits for marking.
    """
    noted = ((p.parent.name, p.stem) for p in sorted((course / OWN / MARKED).glob("*/*.json")))
    states = {key: state_of(course, *key) for key in noted
              if (course / SUBMITTED).joinpath(*key).is_dir()}  # fmt: skip
    return {key: str(state["fault"]) for key, state in states.items()
            if "fault" in state and was_tried(course, *key)
            and not is_settled(course, *key)}  # fmt: skip


def write_state(course: Path, learner: str, lesson: str, state: dict[str, Any]) -> None:
    """Keep what is to be known of a marked submission."""
    write_whole(_place(course, learner, lesson), json.dumps(state, indent=1).encode("utf-8"))


def write_fault(course: Path, learner: str, lesson: str, words: str) -> None:
    """Keep why a submission cannot be marked."""
    kept = {name: value for name, value in state_of(course, learner, lesson).items()
            if name == _SETTLED}  # fmt: skip
    tried = _files(course, learner, lesson)
    write_state(course, learner, lesson, {"fault": words, _TRIED: tried, **kept})


def was_tried(course: Path, learner: str, lesson: str) -> bool:
    """Tell whether what could not be marked is what lies there now."""
    now = _files(course, learner, lesson)
    return bool(state_of(course, learner, lesson).get(_TRIED, now) == now)


def note_settled(course: Path, learner: str, lesson: str) -> None:
    """Note that a person has given all points of what cannot be marked, as it lies there now."""
    state = state_of(course, learner, lesson)
    write_state(course, learner, lesson, {**state, _SETTLED: _files(course, learner, lesson)})


def is_settled(course: Path, learner: str, lesson: str) -> bool:
    """Tell whether that was noted, and nothing else has come since."""
    state = state_of(course, learner, lesson)
    return "fault" in state and state.get(_SETTLED) == _files(course, learner, lesson)


def _files(course: Path, learner: str, lesson: str) -> list[list[str | int]]:
    """Give by what the files of a submission are known again, where they cannot even be read."""
    found = sorted((course / SUBMITTED / learner / lesson).glob("*.ipynb"))
    seen = ((path.name, path.lstat()) for path in found)
    return [[name, about.st_size, about.st_mtime_ns] for name, about in seen]


def _place(course: Path, learner: str, lesson: str) -> Path:
    return course / OWN / MARKED / learner / f"{lesson}.json"
