"""nbgrader's own commands on a fresh course folder, run as anywhere: by stock execution."""

from __future__ import annotations

import csv
import json
import os
import re
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from traitlets.config import Config

from checks.course import grader
from checks.course.config import COLLECT, CONFIG, make_course, settings
from checks.course.copies import learner_copy
from checks.course.files import read
from checks.course.lessons import Lesson
from checks.course.open_course import OpenCourse
from checks.course.scores import Score, scores
from robotsim import KitError
from tests.checks.stock import autograde, feedback, generate

pytestmark = pytest.mark.slow


def submit(course: Path, learner: str, change: Callable[[str], str]) -> None:
    copy = course / "release" / "pier" / "pier.ipynb"
    target = course / "submitted" / learner / "pier" / "pier.ipynb"
    target.parent.mkdir(parents=True)
    target.write_text(change(copy.read_text(encoding="utf-8")), encoding="utf-8")


def solve(text: str) -> str:
    return text.replace("# your lines here", 'print(\\"ahoy\\")')


def half(text: str) -> str:
    return text.replace("# your lines here", 'print(\\"ahoy!\\")')


def without_check(text: str) -> str:
    notebook = json.loads(solve(text))
    notebook["cells"] = [c for c in notebook["cells"] if c["id"] != "pier-hello"]
    return json.dumps(notebook)


def answer(text: str) -> str:
    return text.replace("*Write your answer here.*", "So that others hear it.")


@pytest.fixture(scope="module")
def marked(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A course through all of nbgrader's steps."""
    home = tmp_path_factory.mktemp("school")
    lessons = Path(shutil.copytree(built, home / "lessons"))
    (lessons / "__pycache__").mkdir()
    course = make_course(home / "my course", lessons, stock=True)
    generate(course, "pier")
    for name, change in {
        "untouched": str, "solved": solve, "half": half, "deleted": without_check, "wrote": answer
    }.items():  # fmt: skip
        submit(course, name, change)
    autograde(course, "pier")
    feedback(course, "pier")
    grader.export(course)
    return course


@pytest.fixture(scope="module")
def points(marked: Path) -> dict[tuple[str, str], Score]:
    return {(score.learner, score.cell): score for score in scores(OpenCourse(marked))}


def counted(notebook: str) -> list[dict[str, Any]]:
    return [cell for cell in json.loads(notebook)["cells"] if "nbgrader" in cell["metadata"]]


def test_what_counts_in_the_released_copy_is_what_counts_in_the_learners(marked: Path) -> None:
    """A learner's copy also has notes on words of Python, and a way to the next lesson."""
    lessons = marked.parent / "lessons"
    lesson = Lesson("pier", lessons, "")
    built = lesson.notebook.read_bytes().replace(b"../mole/mole.ipynb", b"mole.ipynb")
    released = (marked / "release" / "pier" / "pier.ipynb").read_text(encoding="utf-8")
    ours = learner_copy(built, lesson).decode("utf-8")
    assert counted(released) == counted(ours) and counted(ours)


def test_an_untouched_copy_scores_exactly_nothing_and_waits_for_nobody(
    marked: Path, points: dict[tuple[str, str], Score]
) -> None:
    own = [points["untouched", cell] for cell in ("pier-hello", "pier-why")]
    assert [(score.points, score.by_hand) for score in own] == [(0.0, False), (0.0, False)]
    graded = read(marked / "autograded" / "untouched" / "pier" / "pier.ipynb")
    outputs = [out for cell in graded.cells for out in cell.get("outputs", ())]
    assert not [out for out in outputs if out.output_type == "error" or out.get("name") == "stderr"]


def test_scores_follow_the_program(points: dict[tuple[str, str], Score]) -> None:
    found = {learner: score.points for (learner, cell), score in points.items()
             if cell == "pier-hello"}  # fmt: skip
    assert found == {"untouched": 0, "solved": 3, "half": 1.5, "deleted": 3, "wrote": 0}


def test_an_answer_in_words_waits_for_a_person(
    points: dict[tuple[str, str], Score],
) -> None:
    waiting = [learner for (learner, _), score in points.items() if score.by_hand]
    assert waiting == ["wrote"]


def test_the_mentor_sees_the_rubric_beside_the_answer(marked: Path) -> None:
    graded = read(marked / "autograded" / "wrote" / "pier" / "pier.ipynb")
    names = [cell.metadata.get("nbgrader", {}).get("grade_id") for cell in graded.cells]
    place = names.index("pier-why-question")
    assert "4 points: so that others hear it" in graded.cells[place].source
    assert graded.cells[place + 1].source == "So that others hear it."


def test_feedback_shows_the_card(marked: Path) -> None:
    page = (marked / "feedback" / "half" / "pier" / "pier.html").read_text(encoding="utf-8")
    assert 'aria-label="Scorecard"' in page.replace("'", '"') and "1.5 of 3 points" in page


def test_the_export_has_every_learner(marked: Path) -> None:
    text = (marked / "grades.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert {row["student_id"]: float(row["score"]) for row in rows} == {
        "untouched": 0, "solved": 3, "half": 1.5, "deleted": 3, "wrote": 0
    }  # fmt: skip


def test_a_broken_configuration_fails_and_says_why(built: Path, tmp_path: Path) -> None:
    course = make_course(tmp_path / "course", Path(shutil.copytree(built, tmp_path / "lessons")))
    with (course / CONFIG).open("a", encoding="utf-8") as config:
        config.write("\nc.NoSuchThing.at_all = no_such_name\n")
    with pytest.raises(KitError, match="no_such_name"):
        generate(course, "pier")
    assert not (course / "release").exists()


def test_making_a_course_again_keeps_what_the_teacher_wrote(tmp_path: Path, built: Path) -> None:
    course = make_course(tmp_path / "course", built)
    (course / CONFIG).write_text("# mine", encoding="utf-8")
    make_course(course, built)
    assert (course / CONFIG).read_text(encoding="utf-8") == "# mine"


@pytest.mark.parametrize("name", ["c++", "group [a]", "lessons (old)", "50$"])
def test_a_path_that_nbgrader_would_misread_is_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(KitError, match="in its path"):
        make_course(tmp_path / "course", tmp_path / name / "lessons")


def test_a_course_inside_the_lessons_is_refused(built: Path) -> None:
    with pytest.raises(KitError, match="outside the lessons"):
        make_course(built / "course", built)


def test_settings_wait_for_locks_and_pass_over_what_is_no_lesson(
    lessons: Path, tmp_path: Path
) -> None:
    (lessons / "notes").mkdir()
    c = Config()
    settings(c, tmp_path / "course", lessons)
    assert c.CourseDirectory.db_url.endswith("/course/gradebook.db?timeout=60")
    assert {"notes", "__pycache__", "pier.md"} <= {*c.CourseDirectory.ignore}
    assert not {"pier", "mole"} & {*c.CourseDirectory.ignore}


@pytest.mark.parametrize(
    ("name", "learner", "file"),
    [
        ("x/alma_2026-03-01-10-00-00_1-lamps.ipynb", "alma", "lamps"),
        ("x/alma_2026-03-01_lamps.ipynb", "alma", "lamps"),
        ("x/alma_2026-03-01_1-lamps (2).ipynb", "alma", "lamps"),
    ],
)
def test_the_collector_knows_whose_file_it_is(name: str, learner: str, file: str) -> None:
    found = re.match(COLLECT, name)
    assert found and (found["student_id"], found["file_id"]) == (learner, file)


def test_a_gradebook_begins_with_nbgraders_own_version_and_starts_no_program(
    tmp_path: Path, built: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import nbgrader.api

    own = str(Path(sys.executable).parent)
    monkeypatch.setenv("PATH", os.pathsep.join([own, os.environ["PATH"]]))
    theirs = nbgrader.api.get_alembic_version()
    monkeypatch.setenv("PATH", "")  # as in an environment that is not activated
    with OpenCourse(make_course(tmp_path / "course", built)).gradebook() as book:
        rows = book.db.execute(text("SELECT version_num FROM alembic_version")).all()
        assert [row[0] for row in rows] == [theirs.strip()]
        assert book.assignments == []
