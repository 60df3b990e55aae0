"""Plans hold to the lessons' own times: what a page promises fits into its minutes."""

from __future__ import annotations

import re
from functools import cache

import pytest

from checks.course.lessons import LESSONS, ROOT, Lesson, find_lessons
from checks.course.python_words import WORDS, kinds_of
from checks.course.source import read_source
from checks.tasks import TASKS

ALL = find_lessons()
TEACHING = (LESSONS / "TEACHING.md").read_text(encoding="utf-8")
PLANS = (LESSONS / "PLANS.md").read_text(encoding="utf-8")
each_lesson = pytest.mark.parametrize("lesson", ALL, ids=lambda lesson: lesson.id)


def section(text: str, head: str) -> str:
    found = re.search(rf"^#+ {re.escape(head)}.*?(?=^##+ |\Z)", text, re.M | re.S)
    assert found is not None, head
    return found[0]


def time_plan(lesson: str) -> tuple[str, dict[str, tuple[int, int]]]:
    """Give a lesson's times in the teacher's page: its head, and each part's least and most."""
    found = re.search(r"^\*\*Time plan \((.*?)\)\.\*\* (.*)$",
                      section(TEACHING, f"{lesson}: "), re.M)  # fmt: skip
    assert found is not None
    parts = {}
    for part in found[2].rstrip(".").split(" · "):
        one = re.fullmatch(r"(.+?)(?: (\d+)(?: to (\d+))?| afterwards)", part)
        assert one is not None, part
        parts[one[1].lower()] = (int(one[2] or 0), int(one[3] or one[2] or 0))
    return found[1], parts


def rows(text: str) -> list[list[str]]:
    found = [[cell.strip() for cell in row.strip("|").split(" | ")]
             for row in text.splitlines() if row.startswith("|")]  # fmt: skip
    return [row for row in found if not set("".join(row)) <= set("- |")][1:]


def asked_of(words: str) -> list[tuple[str, list[str]]]:
    """Give the lessons of a row of a plan, each with the parts that are named."""
    known = {lesson.id for lesson in ALL}
    return [(found[1], [part.strip().lower() for part in found[2].split(" · ")])
            for found in re.finditer(r"`(\w+)`: ([^;]+)", words) if found[1] in known]  # fmt: skip


@each_lesson
def test_the_parts_of_a_time_plan_make_its_sum(lesson: Lesson) -> None:
    head, parts = time_plan(lesson.id)
    most = sum(high for _, high in parts.values())
    aside = [name for name in parts if name in ("question in words", "plan")]
    bare = most - sum(parts[name][1] for name in aside)
    first = int(head.split()[0])
    if lesson.id == "board":  # its plan in words belongs to the lesson
        bare += parts["plan"][0]
    assert first == bare, (lesson.id, bare)
    whole = re.search(r"(\d+) with the", head)
    assert whole is None or int(whole[1]) == most
    without = re.search(r"(\d+) without (task \d)", head)
    assert without is None or int(without[1]) == bare - parts[without[2]][1]


@each_lesson
def test_lesson_readme_and_teachers_page_tell_the_same_times(lesson: Lesson) -> None:
    opening = lesson.source.read_text(encoding="utf-8").partition("\n## ")[0]
    told = re.search(r"(?:takes|Allow) (\d+)(?: to (\d+))? minutes", opening)
    assert told is not None
    span = f"{told[1]} to {told[2]}" if told[2] else told[1]
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert re.search(rf"^\| `{lesson.id}` .* {span} min \|$", readme, re.M)
    head, _ = time_plan(lesson.id)
    assert f"a learner alone {span} minutes" in head or head == f"{span} minutes"
    alone = {row[1].strip("`"): row[2] for row in rows(section(PLANS, "Learning alone"))}
    assert alone[lesson.id] == span


@pytest.mark.parametrize("head", ["A workshop of one day", "Eight school weeks"])
def test_what_a_plan_names_fits_into_its_minutes(head: str) -> None:
    for row in rows(section(PLANS, head)):
        least = 0
        for lesson, names in asked_of(row[2]):
            _, parts = time_plan(lesson)
            assert set(names) <= {*parts}, (lesson, set(names) - {*parts})
            least += sum(parts[name][1] for name in names)
        assert not least or least <= int(row[1]) <= least + 15, (row[0], least)


def test_the_workshops_clock_is_right() -> None:
    found = rows(section(PLANS, "A workshop of one day"))
    now = 9 * 60
    for start, minutes, _ in found:
        hours, _, past = start.partition(":")
        assert 60 * int(hours) + int(past) == now, start
        now += int(minutes)
    assert len(found) > 10 and now <= 16 * 60 + 30


def test_the_weeks_are_eight_of_ninety_minutes_and_leave_no_part_of_their_lessons_out() -> None:
    weeks = rows(section(PLANS, "Eight school weeks"))
    assert [row[0] for row in weeks] == [str(k) for k in range(1, 9)]
    assert all(int(row[1]) <= 90 for row in weeks)
    taught: dict[str, list[str]] = {}
    for row in weeks:
        for lesson, names in asked_of(row[2]):
            taught.setdefault(lesson, []).extend(names)
    assert len(taught) == 8
    for lesson, names in taught.items():
        left = {*time_plan(lesson)[1]} - {*names} - {"question in words"}
        assert len(names) == len({*names}), lesson
        assert left <= {"task 3"}, (lesson, left)


def test_every_command_and_file_that_a_plan_names_is_there() -> None:
    from checks.commands import main

    for name in ("PLANS.md", "OPENINGS.md", "NEEDS.md"):
        text = (LESSONS / name).read_text(encoding="utf-8")
        for command in set(re.findall(r"`python3 checks (\w+)", text)):
            with pytest.raises(SystemExit) as ended:
                main([command, "--help"])
            assert ended.value.code == 0
        for link in re.findall(r"\]\(([\w./-]+)\)", text):
            assert (LESSONS / link).exists(), link


@each_lesson
def test_an_opening_takes_ten_minutes_and_shows_nothing_on_a_wall(lesson: Lesson) -> None:
    text = section((LESSONS / "OPENINGS.md").read_text(encoding="utf-8"), f"{lesson.id}: ")
    minutes = [int(row[0]) for row in rows(text)]
    assert sum(minutes) == 10 and len(minutes) >= 4
    assert "**Have at hand.**" in text and "**Caution.**" in text
    assert not re.search(r"\b(slide show|projector)\b", text)


@each_lesson
def test_the_python_that_a_lesson_is_said_to_need_is_what_its_code_uses(lesson: Lesson) -> None:
    text = (LESSONS / "NEEDS.md").read_text(encoding="utf-8")
    row = next(row for row in rows(section(text, "Mathematics and Python"))
               if row[0] == f"`{lesson.id}`")  # fmt: skip
    fresh = {word for kinds, word in NAMED.items() if kinds in first_uses(lesson.id)}
    told = set(re.findall(r"`([^`]+)`", row[2]))
    assert fresh == told & {*NAMED.values()}, (fresh, told)


NAMED = {
    "Tuple": "(1, 2)", "Subscript": "row[2]", "FunctionDef": "def", "If": "if", "While": "while",
    "JoinedStr": "f\"...\"", "Pow": "**", "Mod": "%", "ListComp": "[... for ...]", "List": "[1, 2]",
    "Dict": "{...}", "Try": "try", "Raise": "raise", "Global": "global", "FloorDiv": "//",
    "Lambda": "lambda", "Slice": "row[1:3]", "Starred": "*names",
}  # fmt: skip
"""Kinds of syntax that a teacher would ask about, as NEEDS.md writes them."""


def first_uses(lesson: str) -> set[str]:
    place = [one.id for one in ALL].index(lesson)
    return kinds_in(ALL[place]).difference(*map(kinds_in, ALL[:place]))


@cache
def kinds_in(lesson: Lesson) -> frozenset[str]:
    cells = read_source(lesson, TASKS).notebook.cells
    return frozenset(kind for cell in cells if cell.cell_type == "code"
                     for kind in kinds_of(cell.source))  # fmt: skip


def test_the_kinds_are_those_that_the_lessons_explain() -> None:
    assert {*NAMED} <= {kind for kinds in WORDS for kind in kinds.split()}
