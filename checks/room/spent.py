"""Spent: how long a class was at each task, by the journals that screens have kept.

Counted is from a task's first check to the one with all points, or else to the last one that was
told.  What comes before the first check nobody sees; a laptop that was not in the room is not
counted.  No alias is read: who was how long at what stays untold.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

from ..tasks import TASKS
from .message import READY, BadMessage, Tried, read

__all__ = ["minutes_on_tasks"]


def minutes_on_tasks(course: Path) -> dict[str, tuple[float, ...]]:
    """Give the minutes that each laptop spent on each task.

    Args:
        course: The course folder; its journals lie in `room`, one a day.

    Returns:
        Task id to minutes, a number for each laptop and day, the shortest first.
    """
    found: dict[str, list[float]] = defaultdict(list)
    for journal in sorted((course / "room").glob("*.jsonl")):
        first: dict[tuple[str, str], float] = {}
        last: dict[tuple[str, str], float] = {}
        passed = set()
        for key, told, now in _tries(journal):
            at = key, told.task
            first[at] = min(first.get(at, now), now - told.since)
            if at not in passed:
                last[at] = max(last.get(at, now), now)
            if told.points >= TASKS[told.task].points:
                passed.add(at)
        for at, began in first.items():
            found[at[1]].append((last[at] - began) / 60.0)
    return {task: tuple(sorted(found[task])) for task in TASKS if task in found}


def _tries(journal: Path) -> Iterator[tuple[str, Tried, float]]:
    """Give what was told of tasks: by which laptop, what, when; spoilt lines are passed over."""
    for line in journal.read_bytes().splitlines():
        try:
            entry = json.loads(line)
            if entry["what"] == READY:
                continue
            told = read(str(entry["what"]), str(entry["told"]).encode())
            now = float(entry["t"])
        except (ValueError, KeyError, TypeError, BadMessage):
            continue
        if isinstance(told, Tried):
            yield str(entry["key"]), told, now
