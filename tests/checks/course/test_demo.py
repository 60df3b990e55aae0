"""The made-up class, marked from end to end; slow, so it is done once for all these tests."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from checks import TASKS
from checks.course.config import CONFIG, make_course
from checks.course.execute import execute
from checks.course.files import read
from checks.course.lessons import LESSONS, Lesson, place_of
from checks.course.open_course import OpenCourse
from checks.course.scores import Score, scores
from checks.demo.made_up import CLASS, ENDLESS, TYPICAL
from checks.demo.marked import demo, graded_lessons, table
from checks.task import Task
from robotsim import KitError
from tests.checks.stock import autograde, generate

pytestmark = pytest.mark.slow

Points = dict[tuple[str, str], Score]


FEW = ("lamps", "arm", "line", "radio")
"""The lessons of an ordinary run; `--long` takes all. Every solution runs in other tests, too."""


@pytest.fixture(scope="module")
def lessons(tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest) -> Path:
    """A folder with the lessons that the class takes."""
    if request.config.getoption("--long"):
        return LESSONS
    folder = tmp_path_factory.mktemp("lessons")
    for name in FEW:
        one = Lesson(name, LESSONS, "")
        shutil.copyfile(one.source, folder / one.source.name)
        shutil.copytree(one.notebook.parent, folder / name)
    return folder


@pytest.fixture(scope="module")
def asked(lessons: Path) -> dict[str, Task]:
    """The tasks of these lessons."""
    taught = {lesson.id for lesson in graded_lessons(lessons)}
    return {name: task for name, task in TASKS.items() if task.lesson in taught}


@pytest.fixture(scope="module")
def course(lessons: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "course"
    demo(folder, lessons)
    return folder


@pytest.fixture(scope="module")
def points(course: Path) -> Points:
    return {(score.learner, score.cell): score for score in scores(OpenCourse(course))}


def cell_of(task: str) -> str:
    return task.replace(".", "-")


def submitted(course: Path) -> list[tuple[str, str, Path]]:
    found = [
        (
            learner.id,
            lesson.id,
            course / "submitted" / learner.id / lesson.id / f"{lesson.id}.ipynb",
        )
        for learner in CLASS
        for lesson in graded_lessons()
    ]
    return [(learner, lesson, path) for learner, lesson, path in found if path.exists()]


def test_the_class_and_every_graded_cell_are_in_the_gradebook(
    points: Points, asked: dict[str, Task]
) -> None:
    assert {learner for learner, _ in points} == {learner.id for learner in CLASS}
    assert {cell_of(task) for task in asked} <= {cell for _, cell in points}


def test_the_solved_lessons_score_exactly_full_marks(
    points: Points, asked: dict[str, Task]
) -> None:
    for task in asked.values():
        score = points["alma", cell_of(task.id)]
        assert (score.points, score.most) == (task.points, task.points)


def test_the_untouched_lessons_score_exactly_nothing(points: Points) -> None:
    own = [score for (learner, _), score in points.items() if learner == "dario"]
    assert [(score.points, score.by_hand) for score in own] == [(0.0, False)] * len(own)


def test_typical_mistakes_cost_some_points(points: Points, asked: dict[str, Task]) -> None:
    earned = {name: points["cleo", cell_of(name)].points for name in TYPICAL if name in asked}
    for name, part in earned.items():
        assert 0 <= part < TASKS[name].points, name
    assert sum(part > 0 for part in earned.values()) > len(earned) / 2


def test_a_lesson_not_handed_in_is_told_from_one_that_earned_nothing(
    points: Points, lessons: Path
) -> None:
    last = graded_lessons(lessons)[-1].id
    assert not any(
        score.handed_in for (learner, _), score in points.items()
        if learner == "edda" and score.lesson == last
    )  # fmt: skip
    assert all(score.handed_in for (learner, _), score in points.items() if learner == "dario")


def test_a_program_that_never_ends_costs_its_own_points_only(course: Path, points: Points) -> None:
    for _, lesson, path in (one for one in submitted(course) if one[0] == "fynn"):
        cells = [cell for cell in read(path).cells if cell.cell_type == "code"]
        ended = [c.metadata["nbgrader"]["grade_id"] for c in cells if ENDLESS.strip() in c.source]
        assert len(ended) == (lesson == "lamps")
        for task in TASKS.values():
            if task.lesson == lesson:
                endless = f"{cell_of(task.id)}-program" in ended
                expected = 0.0 if endless else task.points
                assert points["fynn", cell_of(task.id)].points == expected, task.id


def each_but(*usual: str) -> list[Any]:
    """Give the lessons; those not named wait for `--long`. Notebooks run in CI anyhow."""
    names = sorted({task.lesson for task in TASKS.values()})
    return [n if n in usual else pytest.param(n, marks=pytest.mark.long) for n in names]


@pytest.mark.parametrize("lesson", each_but("lamps", "radio"))
def test_the_gradebook_has_what_the_learner_was_shown(
    lesson: str, course: Path, points: Points
) -> None:
    learner = ("cleo", "dario")[place_of(lesson) % 2]
    for path in (path for who, its, path in submitted(course) if (who, its) == (learner, lesson)):
        notebook = read(path)
        execute(notebook)
        for cell in notebook.cells:
            marks = cell.metadata.get("nbgrader", {})
            if marks.get("grade") and cell.cell_type == "code":
                (shown,) = (o for o in cell.outputs if o.output_type == "execute_result")
                score = points[learner, marks["grade_id"]]
                assert float(shown["data"]["text/plain"]) == score.points


@pytest.mark.parametrize("lesson", each_but("lamps"))
def test_stock_nbgrader_gives_the_same_scores(
    lesson: str, course: Path, points: Points, tmp_path: Path
) -> None:
    other = make_course(tmp_path / "stock", stock=True)
    assert "stock=True" in (other / CONFIG).read_text(encoding="utf-8")
    names = ("alma",) if place_of(lesson) % 2 else ("cleo",)
    for learner in names:
        shutil.copytree(course / "submitted" / learner, other / "submitted" / learner)
    generate(other, lesson)
    autograde(other, lesson)
    found = {(score.learner, score.cell): score for score in scores(OpenCourse(other))}
    ours = {
        key: score for key, score in points.items()
        if score.lesson == lesson and score.learner in names
    }  # fmt: skip
    assert found.keys() == ours.keys() and ours
    for key, score in ours.items():
        # Stock nbgrader marks on the lesson's own tables and days: what earns a part may earn
        # a little more or less there, what earns all or nothing earns it.
        near = 0.0 if score.points in (0.0, score.most) else 0.05 * score.most
        assert abs(found[key].points - score.points) <= near, key
        assert found[key]._replace(points=score.points) == score


def test_no_cell_of_a_learner_was_run(course: Path) -> None:
    for learner, lesson, _ in submitted(course):
        graded = read(course / "autograded" / learner / lesson / f"{lesson}.ipynb")
        for cell in graded.cells:
            if cell.cell_type == "code" and not cell.metadata.get("nbgrader", {}).get("grade"):
                assert not cell.outputs


def test_the_table_the_picture_and_the_feedback_are_there(course: Path, points: Points) -> None:
    text = table(list(points.values()))
    for learner in CLASS:
        assert f"\n{learner.id}" in text
    assert (course / "scores.png").read_bytes().startswith(b"\x89PNG")
    for learner, lesson, _ in submitted(course):
        page = course / "feedback" / learner / lesson / f"{lesson}.html"
        assert "Scorecard" in page.read_text(encoding="utf-8")


def test_a_folder_with_something_else_in_it_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(KitError, match="holds something else"):
        demo(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]
