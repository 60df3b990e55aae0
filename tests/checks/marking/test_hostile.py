"""Hostile and broken submissions: each ends with the right score or a clear line for a person."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from checks.course.open_course import OpenCourse
from checks.course.scores import scores
from checks.marking.marker import mark
from checks.marking.noted import state_of
from checks.marking.pool import LocalPool
from robotsim import Recording
from tests.checks.marking.cases import FULL, LESSON, NOTHING, SIGNAL, Case, cases, reaching
from tests.checks.marking.conftest import (
    HONEST,
    SAMPLE,
    Class,
    files,
    fill,
    learner,
    open_lamps,
)
from tests.checks.marking.reaches import REACHES

pytestmark = pytest.mark.slow

CASES = [*cases(), *reaching(SAMPLE)]
READABLE = [case for case in CASES if not case.line]


def ids(case: Case) -> str:
    return case.name


def points_of(hostile: Class, name: str) -> dict[str, float]:
    return {cell: points for (who, cell), points in hostile.points.items()
            if who == name and cell in FULL}  # fmt: skip


@pytest.mark.parametrize("case", READABLE, ids=ids)
def test_the_score_is_the_right_one(case: Case, hostile: Class) -> None:
    assert points_of(hostile, learner(case)) == case.points


@pytest.mark.parametrize("case", [case for case in CASES if case.line], ids=ids)
def test_what_cannot_be_marked_has_a_clear_line_and_no_score(case: Case, hostile: Class) -> None:
    lines = [words for who, _, words in hostile.said.for_you if who == learner(case)]
    assert len(lines) == 1 and case.line in lines[0] and "Try: " in lines[0]
    assert "Traceback" not in lines[0]
    assert points_of(hostile, learner(case)) == {}


@pytest.mark.parametrize("case", [case for case in CASES if case.note], ids=ids)
def test_what_was_put_in_order_is_told(case: Case, hostile: Class) -> None:
    notes = state_of(hostile.course, learner(case), LESSON)["notes"]
    assert any(case.note in note for note in notes), notes


@pytest.mark.parametrize("name", HONEST)
def test_the_rest_of_the_class_is_marked(name: str, hostile: Class) -> None:
    assert points_of(hostile, name) == FULL


def test_every_submission_has_a_score_or_a_line(hostile: Class) -> None:
    lines = {who for who, _, _ in hostile.said.for_you}
    scored = {who for who, _ in hostile.points}
    assert {learner(case) for case in CASES} <= lines | scored


def test_the_table_is_long() -> None:
    assert len(cases()) + len(REACHES) >= 120
    names = [case.name for case in (*cases(), *reaching())]
    assert len(set(names)) == len(names)


def test_no_file_was_changed(hostile: Class) -> None:
    after = files(hostile.course)
    # Where the file bore another name, a copy under the right one was put beside it.
    added = {path for path in after if path not in hostile.before}
    assert {path.parent.parent.name for path in added} <= {"another-name"}
    assert {path: after.get(path) for path in hostile.before} == hostile.before
    for place in (hostile.course, Path.cwd()):
        assert not list(place.glob("started")) and not list(place.glob("mine.txt"))


def test_no_score_was_altered_by_anything_but_marking(hostile: Class) -> None:
    for score in scores(OpenCourse(hostile.course)):
        assert 0 <= score.points <= score.most


def printed(hostile: Class, name: str) -> str:
    """Give what a learner's programs printed, from the recordings of the checks."""
    marks = state_of(hostile.course, name, LESSON)["checks"].values()
    text = ""
    for name in marks:
        data = hostile.course / ".quayside" / "worked out" / name[:2] / f"{name}.result"
        raw = data.read_bytes()
        at = raw.find(b"quayside recording")
        while at >= 0:
            end = raw.find(b"quayside recording", at + 1)
            piece = raw[at : end if end >= 0 else len(raw) - 4]
            text += "\n".join(line for _, line in Recording.from_bytes(piece).printed)
            at = end
    return text


@pytest.mark.parametrize("name", ["read-hidden-checks", "read-others", "write-files"])
def test_a_program_that_finds_its_way_out_reads_and_writes_nothing(
    name: str, hostile: Class
) -> None:
    protections = {what: on for what, on, _ in hostile.said.protections}
    if not protections["files"]:
        pytest.skip("this system offers nothing that keeps files out of reach")
    told = printed(hostile, name)
    assert "kept out" in told
    assert "READ" not in told and "WROTE" not in told


@pytest.mark.parametrize("case", reaching(SAMPLE), ids=ids)
def test_what_a_program_reaches_for_is_out_of_reach(case: Case, hostile: Class) -> None:
    protections = {what: on for what, on, _ in hostile.said.protections}
    if not all(protections.values()):
        pytest.skip("this system does not have all layers")
    told = printed(hostile, case.name)
    assert "kept out" in told and "GOT THROUGH" not in told


@pytest.mark.long
def test_every_reach_is_marked_and_kept_in(tmp_path: Path) -> None:
    course, every = tmp_path / "school" / "course", reaching()
    course.parent.mkdir()
    open_lamps(course, [*HONEST, *map(learner, every)])
    fill(course, every)
    said = mark(course, pool=LocalPool(2, pictures=False))
    made = Class(course, every, said, {})
    protections = {what: on for what, on, _ in said.protections}
    for case in every:
        assert points_of(made, learner(case)) == {**FULL, SIGNAL: 0.0}, case.name
        if all(protections.values()):
            assert "GOT THROUGH" not in printed(made, case.name), case.name
    for name in HONEST:
        assert points_of(made, name) == FULL


def test_empty_work_under_every_disguise_earns_nothing(hostile: Class) -> None:
    disguised = [case for case in CASES if case.points == NOTHING]
    assert len(disguised) >= 10
    for case in disguised:
        assert points_of(hostile, learner(case)) == NOTHING, case.name


def test_no_cell_of_a_learner_was_run(hostile: Class) -> None:
    for path in (hostile.course / "autograded").glob("*/*/*.ipynb"):
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
            if cell["cell_type"] == "code" and not cell["metadata"].get("nbgrader", {}).get(
                "grade"
            ):
                assert not cell["outputs"], path


def test_a_neighbours_work_earns_what_it_earns(hostile: Class) -> None:
    assert points_of(hostile, "a-neighbours-work") == FULL
