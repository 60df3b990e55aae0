"""Noted: what marking keeps of each submission, beside the gradebook."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from ..course.classroom import MARKED, OWN, write_whole
from ..course.collect import SUBMITTED

__all__ = ["faults_of", "state_of", "write_state"]


def state_of(course: Path, learner: str, lesson: str) -> dict[str, Any]:
    """Give what was noted when a submission was marked; empty if it never was."""
    try:
        plain = json.loads(_place(course, learner, lesson).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return plain if isinstance(plain, dict) else {}


def faults_of(course: Path) -> dict[tuple[str, str], str]:
    """Give (learner, lesson) of what was handed in and could not be marked, with the words."""
    noted = ((p.parent.name, p.stem) for p in sorted((course / OWN / MARKED).glob("*/*.json")))
    states = {key: state_of(course, *key) for key in noted
              if (course / SUBMITTED).joinpath(*key).is_dir()}  # fmt: skip
    return {key: str(state["fault"]) for key, state in states.items() if "fault" in state}


def write_state(course: Path, learner: str, lesson: str, state: dict[str, Any]) -> None:
    """Keep what is to be known of a marked submission."""
    write_whole(_place(course, learner, lesson), json.dumps(state, indent=1).encode("utf-8"))


def _place(course: Path, learner: str, lesson: str) -> Path:
    return course / OWN / MARKED / learner / f"{lesson}.json"
