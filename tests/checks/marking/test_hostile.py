"""Hostile and broken submissions: each ends with the right score or a clear line for a person."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from checks.course import grader
from checks.marking.marker import state_of
from robotsim import Recording
from tests.checks.marking.cases import FULL, LESSON, NOTHING, Case, cases
from tests.checks.marking.conftest import HONEST, Class, files, learner

pytestmark = pytest.mark.slow

CASES = cases()
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
    assert len(CASES) >= 40


def test_no_file_was_changed(hostile: Class) -> None:
    after = files(hostile.course)
    # Where the file bore another name, a copy under the right one was put beside it.
    added = {path for path in after if path not in hostile.before}
    assert {path.parent.parent.name for path in added} <= {"another-name"}
    assert {path: after.get(path) for path in hostile.before} == hostile.before
    for place in (hostile.course, Path.cwd()):
        assert not list(place.glob("started")) and not list(place.glob("mine.txt"))


def test_no_score_was_altered_by_anything_but_marking(hostile: Class) -> None:
    for score in grader.scores(hostile.course):
        assert 0 <= score.points <= score.most


def printed(hostile: Class, name: str) -> str:
    """Give what a learner's programs printed, from the recordings of the checks."""
    marks = state_of(hostile.course, name, LESSON)["checks"].values()
    text = ""
    for mark in marks:
        data = hostile.course / ".quayside" / "worked out" / mark[:2] / f"{mark}.result"
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
