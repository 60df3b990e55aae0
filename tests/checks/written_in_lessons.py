"""The programs that a lesson's text holds, as it hands them out and as it solves them."""

from __future__ import annotations

import re
from collections.abc import Callable

from checks.course.lessons import LESSONS
from checks.course.regions import solved, starter
from robotsim.notebook import program_cell


def _programs(lesson: str, as_told: Callable[[str], str]) -> dict[str, str]:
    text = LESSONS.joinpath(f"{lesson}.md").read_text(encoding="utf-8")
    found = re.findall(r"^```python[^\n]*\n(%%program .*?)^```$", text, re.M | re.S)
    return {name: as_told(body) for name, body in filter(None, map(program_cell, found))}


def solution(lesson: str) -> dict[str, str]:
    """Give all files as someone has them who solved the lesson."""
    return _programs(lesson, solved)


def untouched(lesson: str) -> dict[str, str]:
    """Give all files as someone has them who wrote nothing."""
    return _programs(lesson, starter)
