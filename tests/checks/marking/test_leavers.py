"""Who is in the class no more keeps what was marked: points, files and pages."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from checks.commands import main
from checks.course import grader
from checks.course.open_course import OpenCourse
from checks.course.scores import scores
from checks.hub.back import give_back
from checks.marking.appeals import appeal
from checks.marking.feedback import feedback
from checks.marking.marker import mark
from checks.marking.orders import _tell
from robotsim import KitError
from tests.checks.marking.cases import LESSON, SIGNAL
from tests.checks.marking.conftest import TOLD
from tests.checks.marking.quick import QuickPool
from tests.checks.marking.test_given_back import in_roster

pytestmark = pytest.mark.slow


def kept(course: Path, learner: str) -> dict[str, object]:
    """Give all that is kept of a learner: points, and every file with its time."""
    places = [course / name / learner for name in ("submitted", "autograded", "feedback")]
    places += [course / ".quayside" / name / learner for name in ("marked", "fed back")]
    files = {str(path): (path.read_bytes(), path.stat().st_mtime_ns)
             for place in places for path in place.rglob("*") if path.is_file()}  # fmt: skip
    return {**files, "points": [s for s in scores(OpenCourse(course)) if s.learner == learner]}


def everything_is_marked_otherwise(course: Path) -> None:
    """As by a newer kit, another day or another setting: whatever was marked is marked anew."""
    with (course / "nbgrader_config.py").open("a", encoding="utf-8") as file:
        file.write("# another setting\n")


def test_whose_row_is_deleted_keeps_points_files_and_pages(
    course: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody has the kit's usual tug, which is no other's than of a class without a roster."""
    in_roster(course, "id,name,joined,left,lamps", "id,name,joined,left,lamps,serial")
    in_roster(course, "l3,Learner l3", "l3,Learner l3,,,,11")
    pool = QuickPool()
    mark(course, pool=pool)
    assert {one.serial for one in pool.ran} == {11}
    list(feedback(course))
    before = kept(course, "l3")
    assert len(before) > 4
    in_roster(course, "l3,Learner l3,,,,11\n", "")
    everything_is_marked_otherwise(course)
    pool = QuickPool()
    said = mark(course, pool=pool)
    (line, *_) = feedback(course)
    assert kept(course, "l3") == before
    assert (said.strangers, said.done, pool.ran) == ({"l3"}, len(TOLD), [])
    assert line.startswith("Not in the roster, so their pages are left as they are: l3;")
    (desk := tmp_path / "desk" / "feedback").mkdir(parents=True)
    list(give_back(course, desk.parent))
    assert "l3" not in {path.name for path in desk.iterdir()} and (desk / "l2").is_dir()
    with pytest.raises(KitError, match="'l3' is not in the roster"):
        appeal(course, "l3", SIGNAL, by="me", why="once more", again=True)
    assert kept(course, "l3") == before
    assert appeal(course, "l3", SIGNAL, by="me", why="so", points=1.0).after == 1.0
    assert any("1 of 1 pages" in line for line in feedback(course, ["l3"]))
    _tell(said)
    assert "Not in the roster, so left as they are: l3\n" in capsys.readouterr().out


def test_a_desk_that_is_none_is_told_before_anything_is_written(
    course: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["feedback", str(course), "--to", str(tmp_path / "dsk")]) == 1
    told = capsys.readouterr()
    assert told.out == "" and "There is no desk of a hub" in told.err
    assert not (course / "feedback").exists()


def test_before_any_marking_nothing_is_said_of_the_desk(tmp_path: Path) -> None:
    (desk := tmp_path / "desk" / "feedback").mkdir(parents=True)
    assert [*give_back(tmp_path / "course", desk.parent)] == []


def test_nbgraders_own_marking_takes_no_tug_of_nobodys(course: Path) -> None:
    before = [s for s in scores(OpenCourse(course)) if s.learner == "l3"]
    in_roster(course, "l3,Learner l3\n", "")
    with pytest.raises(KitError, match="'l3' is not in the roster"):
        OpenCourse(course).autograde(LESSON, "l3")
    assert [s for s in scores(OpenCourse(course)) if s.learner == "l3"] == before


def test_nbgraders_own_marking_by_force_keeps_what_was_marked(course: Path) -> None:
    """It would delete the marked copy first, and ask for a tug then."""
    list(feedback(course))
    before = kept(course, "l3")
    in_roster(course, "l3,Learner l3\n", "")
    for command in ("autograde", "generate_feedback"):
        done = subprocess.run(
            [sys.executable, "-m", "nbgrader", command, LESSON, "--student", "l3", "--force"],
            cwd=course, env=grader.environment(), capture_output=True, text=True, check=True,
        )  # fmt: skip
        assert "Not in the roster, so left as they are: l3." in done.stderr
        assert kept(course, "l3") == before


def test_a_roster_that_cannot_be_read_lets_nbgrader_touch_nobody(course: Path) -> None:
    in_roster(course, "id,name", "name,name")
    alone = OpenCourse(course).coursedir.student_id_exclude.split(",")
    assert {*alone} == {path.name for path in (course / "submitted").iterdir()}
    (course / "roster.csv").unlink()
    assert not OpenCourse(course).coursedir.student_id_exclude, "a course without a roster"


def test_who_has_left_keeps_what_was_marked_until_another_file_comes(course: Path) -> None:
    list(feedback(course))
    before = kept(course, "l3")
    in_roster(course, "l3,Learner l3", "l3,Learner l3,,2026-03-15,")
    everything_is_marked_otherwise(course)
    said = mark(course, pool=QuickPool())
    list(feedback(course))
    assert kept(course, "l3") == before
    assert (said.left, said.done) == ({"l3"}, len(TOLD))
    assert mark(course, again=True, pool=QuickPool()).left == {"l3"}
    work = course / "submitted" / "l3" / LESSON / f"{LESSON}.ipynb"
    work.write_bytes(work.read_bytes() + b"\n")
    said = mark(course, pool=QuickPool())
    assert (said.left, said.done) == (set(), 1), "collected after the day, handed in before it"
    everything_is_marked_otherwise(course)
    assert mark(course, learners=["l3"], pool=QuickPool()).done == 1
