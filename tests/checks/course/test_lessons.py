from __future__ import annotations

from pathlib import Path

import pytest

from checks.course.lessons import LESSONS, Lesson, find_lessons, pick_lessons
from robotsim import KitError, UnknownNameError


def write(folder: Path, **titles: str) -> Path:
    for name, title in titles.items():
        (folder / f"{name}.md").write_text(title, encoding="utf-8")
    return folder


def test_lessons_come_in_the_order_of_the_course_and_unknown_ones_last(tmp_path: Path) -> None:
    write(tmp_path, drive="# Under way", abacus="# A", start="# Welcome", lamps="\n# Lamps\n\n# No")
    write(tmp_path, TEACHING="# For teachers")
    found = [(lesson.id, lesson.title) for lesson in find_lessons(tmp_path)]
    assert found == [
        ("start", "Welcome"), ("lamps", "Lamps"), ("drive", "Under way"), ("abacus", "A")
    ]  # fmt: skip


def test_a_learners_file_keeps_its_number_whatever_other_lessons_are_there() -> None:
    assert Lesson("start", LESSONS, "").file == "0-start.ipynb"
    assert Lesson("drive", LESSONS, "").file == "2-drive.ipynb"
    assert Lesson("abacus", LESSONS, "").file == "abacus.ipynb"


def test_an_unknown_lesson_is_named_with_the_nearest_one(tmp_path: Path) -> None:
    with pytest.raises(UnknownNameError, match="did you mean 'lamps'"):
        pick_lessons(["lamp"], write(tmp_path, lamps="# Lamps", drive="# Under way"))


def test_a_lesson_without_a_title_is_refused(tmp_path: Path) -> None:
    with pytest.raises(KitError, match=r"Where: lamps\.md, line 1"):
        find_lessons(write(tmp_path, lamps="no heading"))
