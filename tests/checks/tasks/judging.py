"""What a task's criteria and mistakes make of recordings."""

from __future__ import annotations

from checks import TASKS, Finding
from checks.mistakes import likeliest
from robotsim import Recording


def findings(task: str, *made: Recording) -> dict[str, Finding]:
    """Judge recordings by all criteria of a task."""
    seen = TASKS[task].facts(made)
    return {c.title: c.judge(seen) for c in TASKS[task].criteria}


def named(task: str, *made: Recording) -> str:
    """Give the cause that a card would name, "" for none."""
    cause = likeliest(TASKS[task], made)
    return cause.name if cause else ""
