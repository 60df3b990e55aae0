"""What the lessons say of themselves and of the kit is so, and README and teacher's pages agree."""

from __future__ import annotations

import re

import pytest

from checks.course.lessons import LESSONS, ROOT, Lesson, find_lessons
from checks.home.progress import look
from robotsim import Whose, ready, run

ALL = {lesson.id: lesson for lesson in find_lessons()}
TEXTS = {name: lesson.source.read_text(encoding="utf-8") for name, lesson in ALL.items()}
README = (ROOT / "README.md").read_text(encoding="utf-8")
TEACHING = (LESSONS / "TEACHING.md").read_text(encoding="utf-8")
COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@pytest.fixture(params=ALL.values(), ids=lambda lesson: lesson.id)
def lesson(request: pytest.FixtureRequest) -> Lesson:
    found: Lesson = request.param
    return found


def program(lesson: str, name: str) -> str:
    """Give a program as it stands in a lesson's text."""
    found = re.search(rf"%%program {re.escape(name)}\n(.*?)```", TEXTS[lesson], re.S)
    assert found, name
    return found[1]


def test_lesson_readme_teachers_page_and_home_tell_the_same_time(lesson: Lesson) -> None:
    told = re.search(r"\b(\d+(?: to \d+)?) minutes", TEXTS[lesson.id])
    row = re.search(rf"^\| `{lesson.id}` \|.*\| ([^|]*) min \|$", README, re.M)
    page = TEACHING.split(f"\n## {lesson.id}: ")[1].split("\n## ")[0]
    plan = re.search(r"\*\*Time plan \(([^)]*)\)", page)
    assert told and row and plan
    assert row[1] == told[1]
    assert f"{told[1]} minutes" in plan[1]
    at_home = {one.lesson.id: one.minutes for one in look(ROOT)}
    assert at_home[lesson.id] == told[1]


def test_what_takes_two_sittings_says_where_to_stop_and_what_to_do_next_time(
    lesson: Lesson,
) -> None:
    text = TEXTS[lesson.id]
    if re.search(r"\b120 minutes|\btwo sittings", text):
        stop = text.index("ood place to stop", text.index("\n## Task 1"))
        assert "Next time run the first code cell" in text[stop:stop + 600]


def test_readme_names_no_file_that_no_lesson_has() -> None:
    known = {name for text in TEXTS.values() for name in re.findall(r"%%program (\S+\.py)", text)}
    named = re.findall(r'%%program (\S+\.py)`|(?:run|live|back|ready)\("(\S+?\.py)"\)', README)
    assert {a or b for a, b in named} <= known and len(named) > 3


def test_no_lesson_sends_a_learner_to_a_page_of_the_kit_or_into_the_checks(lesson: Lesson) -> None:
    text = TEXTS[lesson.id]
    assert re.findall(r"\b[\w/]+\.md\b", text) == []
    assert set(re.findall(r"TASKS\[[^]]*\]\S\w*", text)) <= {
        used for used in re.findall(r"TASKS\[[^]]*\]\.targets", text)
    }


def test_a_hint_that_is_the_whole_solution_asks_before_it_shows_itself(lesson: Lesson) -> None:
    """Who opens it must choose once more; the two folds are closed as they were opened."""
    text = TEXTS[lesson.id]
    asked = re.findall(r"<summary>Hint 3</summary>\n\nThis is the whole solution.*\n\n(.*)\n", text)
    assert {*asked} <= {"<details><summary>Show it</summary>"}
    assert text.count("</details>\n</details>\n") == len(asked) == text.count("Show it</summary>")
    assert text.count("<details>") == text.count("</details>")


def test_the_error_that_line_tells_is_the_one_that_the_screen_shows() -> None:
    files = {"later.py": "from calibrate import look\n", "calibrate.py": "white = []\n"}
    shown = run("later.py", seconds=1, files=files, picture=False, whose=Whose.OWN).problem
    told = re.search(r"`(ImportError: [^`]*)`", TEXTS["line"])
    assert told and str(shown).startswith(told[1] + "\n")


def test_ready_finds_as_many_lines_as_the_lesson_says() -> None:
    text = program("board", "unfit.py")
    found = ready("unfit.py", seconds=2, files={"unfit.py": text}, whose=Whose.OWN)
    lines = set(re.findall(r"Where: unfit\.py, line (\d+)", str(found)))
    assert f"has **{COUNTS[len(lines)]}** lines" in TEXTS["board"]


def test_no_program_of_the_kit_makes_a_motors_pwm_at_another_duty_than_0() -> None:
    """Whoever copies a slider's program onto a board copies this line too."""
    made = {
        (found[0], path.name)
        for folder in ("robotsim", "checks")
        for path in ROOT.joinpath(folder).rglob("*.py")
        if "shims" not in path.parts
        for found in re.finditer(r"\bPWM\(Pin\([^()]*\)[^()]*\)", path.read_text(encoding="utf-8"))
    }
    motors = {one for one in made if not re.search(r"freq=50\b", one[0])}
    assert len(motors) > 5
    assert {one for one in motors if "duty_u16=0" not in one[0]} == set()
