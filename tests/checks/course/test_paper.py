"""No answer is on a print-out; aims, pictures, tasks and cautions are; the key has the answers."""

from __future__ import annotations

import html
import re
from functools import cache
from pathlib import Path

import pytest

from checks.course.files import read
from checks.course.lessons import LESSONS, Lesson, find_lessons
from checks.course.paper import answers, sheet
from checks.course.paper_page import page, paper
from checks.course.source import read_source
from checks.tasks import TASKS
from robotsim import KitError

LESSON_LIST = find_lessons()
TEACHING = (LESSONS / "TEACHING.md").read_text(encoding="utf-8")
SOLUTION = re.compile(r"### BEGIN SOLUTION\n(.*?)### END SOLUTION", re.S)
SCHEME = re.compile(r"### BEGIN MARK SCHEME\n(.*?)### END MARK SCHEME", re.S)
FOLDED = re.compile(r"<details>.*?</details>", re.S)
AFTER_A_GUESS = {
    "start": "The console says that ten seconds went by",
    "lamps": "Tug 1 shows green where the program asks for red.",
    "drive": "It stood still. A motor that turns gears",
    "arm": "At 1000 pulses a second a frame lasts only 1 ms",
    "line": "Eyes 1 and 2 look at the line: high counts.",
    "turn": "255 × 256 + 56 = 65336",
    "radio": "**The first order is lost.**",
    "harbour": "a tug can see the half stroke with **all four** eyes",
    "powerup": "(c): 0.2 s, and the tug jumps.",
}
each_lesson = pytest.mark.parametrize("lesson", LESSON_LIST, ids=lambda lesson: lesson.id)


@cache
def printed(lesson: Lesson, key: bool = False) -> str:
    made = answers(lesson, TASKS, TEACHING) if key else sheet(lesson, TASKS)
    return page(lesson, made, key=key)


def squeezed(text: str) -> str:
    """Letters and digits alone: what Markdown does to signs and lines is left aside."""
    return re.sub(r"[\W_]+", "", re.sub(r"^ *\d+\. ", "", text, flags=re.M))


def read_aloud(page: str) -> str:
    return squeezed(html.unescape(re.sub(r"<[^>]*>", "", page)))


def secrets(lesson: Lesson) -> set[str]:
    """Give all rows of answers that the lesson says nowhere else."""
    text = lesson.source.read_text(encoding="utf-8")
    told = re.search(rf"^## {lesson.id}: .*?^\*\*Answers\.\*\*(.*?)^\*\*(?:What the|Shorter)",
                     TEACHING, re.M | re.S)  # fmt: skip
    assert told is not None
    hidden = [*SOLUTION.findall(text), *SCHEME.findall(text), *FOLDED.findall(text), told[1]]
    rest = squeezed(FOLDED.sub("", SCHEME.sub("", SOLUTION.sub("", text))))
    rest += "".join(squeezed(one.title + one.asks) for task in TASKS.values()
                    for one in task.criteria if task.lesson == lesson.id)  # fmt: skip
    rows = {squeezed(row) for part in hidden for row in re.split(r"\n|[.:;] ", part)}
    return {row for row in rows if len(row) >= 12 and row not in rest}


@each_lesson
def test_no_answer_is_on_a_print_out(lesson: Lesson) -> None:
    text = read_aloud(printed(lesson))
    hidden = secrets(lesson)
    assert [row for row in hidden if row in text] == []
    # And the test would see one: the key, made in the same way, has most of them.
    assert sum(row in read_aloud(printed(lesson, key=True)) for row in hidden) > 3


@each_lesson
def test_no_picture_of_a_solution_is_on_a_print_out(lesson: Lesson) -> None:
    programs = {f'"{task.program}"' for task in TASKS.values() if task.lesson == lesson.id}
    pictures: dict[bool, set[str]] = {True: set(), False: set()}
    for cell in read(lesson.notebook).cells:
        solved = any(name in cell.source for name in programs)
        for output in cell.get("outputs", []):
            shown = "".join(output.get("data", {}).get("text/html", ""))
            pictures[solved] |= set(re.findall(r"base64,([^\"]+)", shown))
    assert not [one for one in pictures[True] if one in printed(lesson)]
    assert not programs or any(one in printed(lesson, key=True) for one in pictures[True])


@pytest.mark.parametrize(("name", "told"), AFTER_A_GUESS.items())
def test_what_is_to_be_predicted_is_not_told(name: str, told: str) -> None:
    (lesson,) = (one for one in LESSON_LIST if one.id == name)
    assert told in lesson.source.read_text(encoding="utf-8")
    assert squeezed(told) not in read_aloud(printed(lesson))
    assert "class='room'" in printed(lesson)


@each_lesson
def test_aims_tasks_pictures_and_cautions_are_on_a_print_out(lesson: Lesson) -> None:
    text = read_aloud(printed(lesson))
    source = lesson.source.read_text(encoding="utf-8")
    opening = source.partition("\n## ")[0].partition("```")[0]
    assert squeezed(opening) in text
    for task in (task for task in TASKS.values() if task.lesson == lesson.id):
        assert all(squeezed(one.asks) in text for one in task.criteria)
        assert task.program in printed(lesson)
    assert printed(lesson).count("<img ") >= (0 if lesson.id == "board" else 1)
    assert "Ontherealrobot" in text
    assert all(re.search(r'alt="[^"]{20,}', found)
               for found in re.findall(r"<img [^>]*>", printed(lesson)))  # fmt: skip


@each_lesson
def test_the_key_has_every_solution_and_scheme(lesson: Lesson) -> None:
    text = read_aloud(printed(lesson, key=True))
    source = lesson.source.read_text(encoding="utf-8")
    parts = [*SOLUTION.findall(source), *SCHEME.findall(source)]
    assert all(squeezed(part) in text for part in parts)
    assert "Answers" in text


def test_nothing_on_paper_is_fetched_or_runs() -> None:
    acts = re.compile(r"<(script|link|iframe)|src=\"(?!data:)|url\(")
    for lesson in LESSON_LIST:
        assert not acts.search(printed(lesson)) and not acts.search(printed(lesson, key=True))


def test_the_command_writes_both_and_leaves_what_is_somebody_elses(tmp_path: Path) -> None:
    list(paper(tmp_path, ["board"]))
    (made,) = tmp_path.glob("*.html")
    assert made.name == "9-board.html" and (tmp_path / "answers" / made.name).is_file()
    before = made.read_bytes()
    list(paper(tmp_path, ["board"]))
    assert made.read_bytes() == before
    made.write_text("my own notes", encoding="utf-8")
    with pytest.raises(KitError, match="left as it is"):
        list(paper(tmp_path, ["board"]))
    assert made.read_text(encoding="utf-8") == "my own notes"


def test_an_unknown_lesson_is_named_before_anything_is_written(tmp_path: Path) -> None:
    with pytest.raises(KitError, match="lamps"):
        list(paper(tmp_path / "new", ["lamp"]))
    assert not (tmp_path / "new").exists()


def test_a_source_without_hints_has_all_its_folds_closed() -> None:
    for lesson in LESSON_LIST:
        cells = read_source(lesson, TASKS).notebook.cells
        assert all(c.source.count("<details>") == c.source.count("</details>") for c in cells)
