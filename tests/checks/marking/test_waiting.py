"""What was collected and is not marked: report, feedback, appeals and `back` tell it alike."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from checks.commands import main
from checks.marking.answers import answers_page
from checks.marking.appeals import appeal
from checks.marking.back import back
from checks.marking.class_results import read_results
from checks.marking.feedback import feedback
from checks.marking.marker import mark
from checks.marking.noted import faults_of
from checks.marking.report import report, score_rows
from checks.marking.report_page import page
from checks.marking.waiting import waiting
from tests.checks.marking.cases import FULL, LESSON, answer, program
from tests.checks.marking.conftest import WORDS, hand_in
from tests.checks.marking.quick import QuickPool

pytestmark = pytest.mark.slow


def resubmit(course: Path, learner: str) -> None:
    file = course / "submitted" / learner / LESSON / f"{LESSON}.ipynb"
    nb = json.loads((course / "submitted" / "l0" / LESSON / f"{LESSON}.ipynb").read_bytes())
    program(nb, "x = 2\ny = 3\n")
    answer(nb)["source"] = f"{learner} has thought again."
    file.write_text(json.dumps(nb), encoding="utf-8")


def states(course: Path, learner: str) -> set[tuple[str, str]]:
    """Give points and states of a learner's tasks, as tasks.csv has them."""
    report(course)
    text = (course / "report" / "tasks.csv").read_text("utf-8-sig")
    return {(row[3], row[5]) for row in csv.reader(text.splitlines()) if row[0] == learner}


def test_a_file_that_came_over_a_marked_one_waits_and_its_points_have_a_sign(course: Path) -> None:
    assert not waiting(course).files and "not marked yet:" not in page(read_results(course))
    resubmit(course, "l1")
    assert waiting(course).another == {("l1", LESSON)}
    text = page(read_results(course))
    assert "<b>Collected and not marked yet:</b> 1 submission; where another file" in text
    assert text.count(" ↻</span>") == 1
    (row,) = (line for line in answers_page(course, {"l0": "A", "l1": "B"}).split("<section>")
              if "another file waits for mark" in line)  # fmt: skip
    assert "My answer is number 1." in row
    assert {state for _, state in states(course, "l1")} == {"of an earlier file"}
    told = [line for line in feedback(course) if "waits for `mark`" in line]
    assert told == [f"{LESSON}: another file has come and waits for `mark`; what stands is of the "
                    "earlier one: l1"]  # fmt: skip
    file = course.parent / "list.csv"
    file.write_text("Username;Lamps\nl1;-\n", encoding="utf-8")
    assert any("waits for `mark`" in line and "Learner l1" in line for line in back(course, file))
    mark(course, pool=QuickPool())
    assert not waiting(course).files and "↻</span>" not in page(read_results(course))


def test_who_waits_for_marking_is_not_among_those_who_need_points_by_hand(course: Path) -> None:
    """Points were given before anything came; then a file came."""
    appeal(course, "early", WORDS, points=2.0, by="me", why="told me")
    assert "Other tasks that wait" in page(read_results(course))
    folder = hand_in(course, "early", b"")
    resubmit(course, "early")
    text = page(read_results(course))
    assert waiting(course).new == {("early", LESSON)} and folder.is_dir()
    assert "not marked yet:</b> 1 sub" in text
    assert "Other tasks that wait" not in text


def test_an_unreadable_file_after_which_a_good_one_came_is_told_of_no_more(course: Path) -> None:
    folder = hand_in(course, "early", b"{")
    mark(course, learners=["early"], pool=QuickPool())
    assert "Could not be read" in page(read_results(course)) and not waiting(course).files
    assert states(course, "early") == {("", "could not be read")}
    heads, *rows = score_rows(read_results(course))
    (own,) = (dict(zip(heads, row, strict=True)) for row in rows if row[0] == "early")
    assert own["to_mark"] == own["of"] == "36", "all of it waits for a person"
    resubmit(course, "early")
    assert faults_of(course) == {} and waiting(course).another == {("early", LESSON)}
    text = page(read_results(course))
    assert "Could not be read" not in text.replace("Could not be read or marked ·", "")
    assert "not marked yet:</b> 1 submission" in text
    assert states(course, "early") == {("", "not marked yet")}
    assert folder.is_dir() and len(FULL) > 0


def test_other_settings_than_those_of_marking_are_told(course: Path) -> None:
    with (course / "nbgrader_config.py").open("a", encoding="utf-8") as config:
        config.write('c.LateSubmissionPlugin.penalty_method = "zero"\n')
    assert len(waiting(course).changed) == 7
    assert "Not up to date:</b> 7 submissions marked under another" in page(read_results(course))
    assert any(line.startswith("look: 7 submissions marked under") for line in feedback(course))
    mark(course, pool=QuickPool())
    assert not waiting(course).changed and "Not up to date" not in page(read_results(course))


def test_an_answer_that_waits_again_is_said_to(
    course: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    resubmit(course, "l3")
    assert main(["appeal", str(course), "l3", WORDS, "--points", "1", "--by", "me", "--why", "so"]
                ) == 0  # fmt: skip
    assert "look: l3, lamps: another file has come and waits" in capsys.readouterr().out
    mark(course, pool=QuickPool())
    main(["appeal", str(course)])
    assert "l3, lamps-words: 1 -> waits for points again, by mark" in capsys.readouterr().out


def test_the_list_of_decisions_says_which_wait_for_marking(
    course: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It was silent: the points in it looked like the ones that count."""
    appeal(course, "l3", WORDS, points=1.0, by="me", why="so")
    resubmit(course, "l3")
    resubmit(course, "l4")
    main(["appeal", str(course)])
    told = [row for row in capsys.readouterr().out.splitlines() if row.startswith("look: ")]
    assert told == ["look: l3, lamps: another file has come and waits for `mark`; what stands is "
                    "of the earlier one"], "of l4 nothing was decided"  # fmt: skip


def test_feedback_and_back_count_the_same_pages_while_a_file_waits(course: Path) -> None:
    """A page of points without a notebook lies there still when a file has come."""
    for cell in ("lamps-side", "lamps-fade", "lamps-signal", WORDS):
        appeal(course, "early", cell, points=2.0, by="me", why="told me")
    (course.parent / "list.csv").write_text("Username;Lamps\nl1;-\n", encoding="utf-8")

    def counts() -> tuple[str, str]:
        (one,) = (line for line in feedback(course) if "to send back" in line)
        (other,) = (line for line in back(course, course.parent / "list.csv")
                    if "pages of feedback" in line)  # fmt: skip
        return one, other

    assert ["8 in all" in counts()[0], "of 8 pages" in counts()[1]] == [True, True]
    hand_in(course, "early", b"{")
    assert ["8 in all" in counts()[0], "of 8 pages" in counts()[1]] == [True, True]
