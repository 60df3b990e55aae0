"""Nobody's points or files disappear without a line: in the report, by hand, on the way back."""

from __future__ import annotations

import csv
import json
import os
import shutil
import subprocess
import sys
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest

from checks.course.lessons import ROOT
from checks.course.open_course import OpenCourse
from checks.course.regions import ANSWER
from checks.course.roster import Roster, Student, meant_learner
from checks.course.shelf import Shelf
from checks.marking.answers import answers_page
from checks.marking.appeals import appeal, why_uncounted
from checks.marking.back import back
from checks.marking.class_results import read_results
from checks.marking.decided import appeals_of
from checks.marking.feedback import feedback
from checks.marking.marker import mark
from checks.marking.noted import faults_of
from checks.marking.report import report, score_rows
from checks.marking.report_page import page
from robotsim import KitError, UnknownNameError
from tests.checks.marking.cases import FULL, LESSON, SIGNAL, answer
from tests.checks.marking.conftest import WORDS, hand_in
from tests.checks.marking.quick import QuickPool
from tests.checks.marking.test_items import a_class

pytestmark = pytest.mark.slow


def row_of(course: Path, learner: str) -> dict[str, str]:
    heads, *rows = score_rows(read_results(course))
    return next(dict(zip(heads, row, strict=True)) for row in rows if row[0] == learner)


def in_roster(course: Path, old: str, new: str) -> None:
    file = course / "roster.csv"
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def export(tmp_path: Path, text: str) -> Path:
    file = tmp_path / "list.csv"
    file.write_text(text, encoding="utf-8")
    return file


def test_who_leaves_keeps_the_points_of_what_was_handed_in(course: Path, tmp_path: Path) -> None:
    before = row_of(course, "l3")
    in_roster(course, "l3,Learner l3", "l3,Learner l3,,2026-03-15,")
    assert row_of(course, "l3") == before and float(before["total"]) > 0
    assert row_of(course, "gone")["lamps (of 36)"] == "excused", "who had handed nothing in"
    list(back(course, export(tmp_path, "Username;Lamps\nl3;-\n")))
    filled = (course / "packs" / "points-list.csv").read_text(encoding="utf-8")
    assert filled.splitlines()[1] == f"l3;{before['total']}"
    assert why_uncounted(course, "l3", LESSON) == ""


def test_points_that_do_not_count_have_a_line(course: Path, tmp_path: Path) -> None:
    """Whoever is excused, or came when it was due, and has handed in all the same."""
    in_roster(course, "l3,Learner l3", "l3,Learner l3,2026-04-01,,")
    told = read_results(course)
    assert {*told.uncounted} == {("ill", LESSON), ("l3", LESSON)}
    text = page(told)
    assert "<b>Handed in though not asked</b>, and counted nowhere:" in text and "Ill One" in text
    said = list(back(course, export(tmp_path, "Username;Lamps\nl0;-\n")))
    assert [line for line in said if line.startswith("lamps: Ill One has")]
    assert "not asked of ill" in why_uncounted(course, "ill", LESSON)
    assert page(read_results(course, anonymous=True)).count("Handed in though not asked") == 1


def test_pages_without_a_folder_of_the_platform_are_told(course: Path, tmp_path: Path) -> None:
    list(feedback(course))
    file = export(tmp_path, "Username;Lamps\nl0;-\nl1;-\n")
    assert any("0 of 7 pages of feedback came in a folder" in line for line in back(course, file))
    Shelf(course, "l0", LESSON).note_folder("A B_1234_file")
    said = list(back(course, file))
    assert any("1 of 7 pages" in line and "by-platform.zip" in line for line in said)
    (missing,) = (line for line in said if "no folder known for" in line)
    assert "Learner l1" in missing and "Learner l0" not in missing


def test_a_filled_list_in_which_somebody_has_worked_is_kept(course: Path, tmp_path: Path) -> None:
    file = export(tmp_path, "Username;Lamps\nl0;-\n")
    list(back(course, file))
    target = course / "packs" / "points-list.csv"
    appeal(course, "l0", SIGNAL, points=1.0, by="me", why="so")
    assert not any("is kept" in line for line in back(course, file)), "it was as we wrote it"
    mine = target.read_text(encoding="utf-8") + "my own line;\n"
    target.write_text(mine, encoding="utf-8")
    assert any("points-list-1.csv" in line for line in back(course, file))
    assert target.with_name("points-list-1.csv").read_text(encoding="utf-8") == mine
    assert "my own line" not in target.read_text(encoding="utf-8")


@pytest.mark.parametrize("data", [b"{", None], ids=["a file that cannot be read", "nothing"])
def test_points_by_hand_for_what_cannot_be_marked(data: bytes | None, course: Path) -> None:
    if data is not None:
        hand_in(course, "early", data)
        said = mark(course, learners=["early"], pool=QuickPool())
        assert (said.done, len(said.for_you)) == (0, 1), "what was not read was not marked"
    made = appeal(course, "early", "lamps.words", points=2.0, by="me", why="told me")
    assert (made.before, made.after) == (None, 2.0)
    own = {s.cell: s for s in read_results(course).scores if s.learner == "early"}
    assert (own[WORDS].points, own[WORDS].by_hand) == (2.0, False)
    assert all(own[cell].by_hand for cell in FULL if cell != WORDS), "the rest waits"
    for cell in FULL:
        appeal(course, "early", cell, points=1.0, by="me", why="on paper")
    assert mark(course, learners=["early"], pool=QuickPool()).for_you == []
    assert faults_of(course) == {} and "Could not be read" not in page(read_results(course))


@pytest.mark.parametrize("data", [b"{", None], ids=["a file that cannot be read", "nothing"])
def test_points_that_a_person_has_given_without_a_notebook_have_a_page(
    data: bytes | None, course: Path
) -> None:
    if data is not None:
        hand_in(course, "early", data)
        mark(course, learners=["early"], pool=QuickPool())
    appeal(course, "early", SIGNAL, points=1.0, by="Ms Ray", why="shown <on paper>")
    file = course / "feedback" / "early" / LESSON / f"{LESSON}.html"
    assert [line for line in feedback(course) if line.startswith("early, lamps: no page: ")]
    assert not file.exists()
    for cell in (*FULL, WORDS):
        if cell != SIGNAL:
            appeal(course, "early", cell, points=0.0, by="me", why="not shown")
    said = list(feedback(course))
    assert not any("no page" in line for line in said) and f"{LESSON}: 1 of 8 pages" in said[-1]
    text = file.read_text(encoding="utf-8")
    assert "1 of 36 points" in text and "No notebook of yours could be marked" in text
    assert "<strong>Why these points:</strong> shown &lt;on paper&gt;" in text
    assert not any(words in text for words in ("Ms Ray", "Nothing was written", "no answer yet"))
    assert list(feedback(course))[-1].startswith(f"{LESSON}: 0 of 8 pages")


def test_points_by_hand_for_nothing_do_not_pass_to_a_file_that_comes(course: Path) -> None:
    appeal(course, "early", WORDS, points=2.0, by="me", why="told me")
    work = (course / "submitted" / "l1" / LESSON / f"{LESSON}.ipynb").read_bytes()
    hand_in(course, "early", work)
    said = mark(course, learners=["early"], pool=QuickPool())
    assert "points given by hand (2) were for an earlier file" in said.for_you[0][2]
    own = {s.cell: s for s in read_results(course).scores if s.learner == "early"}
    assert own[WORDS].by_hand and not own[SIGNAL].by_hand
    assert appeals_of(course)[-1].by == "mark"


def test_a_forgotten_number_takes_no_points_away(course: Path) -> None:
    appeal(course, "l1", SIGNAL, points=6.0, by="me", why="so")
    with pytest.raises(KitError, match="6 points by hand"):
        appeal(course, "l1", SIGNAL, by="me", why="so")
    assert {s.cell: s.points for s in read_results(course).scores if s.learner == "l1"}[SIGNAL] == 6


def test_answers_stand_in_a_row_and_those_that_wait_first(course: Path) -> None:
    text = next(path for path in report(course) if path.name == "answers.html").read_text("utf-8")
    at = [text.index(f"My answer is number {k}.") for k in range(7)]
    assert min(at) == at[6], "the one that nobody has marked"
    assert "How it is marked" in text and "1 of 7 wait" in text and "<code>ill lamps-words" in text
    assert not any(path.name.startswith("answers") for path in report(course, anonymous=True))


def test_an_answer_that_was_left_empty_is_told_from_one_that_is_not_marked_yet(
    course: Path,
) -> None:
    def page() -> str:
        return answers_page(course, {"l0": "Learner 0", "l1": "Learner 1", "new": "New One"})

    assert "Nothing was written" not in page() and "Not marked yet" not in page()
    for name in ("l0", "l1"):
        place = course / "autograded" / name / LESSON / f"{LESSON}.ipynb"
        told = json.loads(place.read_text(encoding="utf-8"))
        answer(told)["source"] = ANSWER
        place.write_text(json.dumps(told), encoding="utf-8")
    both = "Learner 0 <code>l0</code>, Learner 1 <code>l1</code> (1 of "
    assert f"Nothing was written: {both}" in page()
    hand_in(course, "new", (course / "submitted" / "l1" / LESSON / f"{LESSON}.ipynb").read_bytes())
    assert "Not marked yet: New One <code>new</code>.</p>" in page()
    appeal(course, "new", WORDS, points=2.0, by="me", why="on paper")
    assert "Not marked yet: New One <code>new</code> (2 of " in page()
    shutil.rmtree(course / "submitted")
    assert "Nobody has handed in" in answers_page(course, {"early": "Early One"})


def test_why_points_were_given_is_on_the_learners_page(course: Path) -> None:
    file = course / "feedback" / "l1" / LESSON / f"{LESSON}.html"
    for why in ("the lamp was <broken>", "the lamp was old"):
        appeal(course, "l1", SIGNAL, points=3.0, by="me", why=why)
        list(feedback(course, ["l1"]))
        text = file.read_text(encoding="utf-8")
        assert why.replace("<", "&lt;").replace(">", "&gt;") in text
    assert "What the check found, which counts no more" in text


def test_no_question_is_called_hard_while_answers_to_it_wait_and_a_program_is() -> None:
    told = a_class()
    low = [s._replace(points=0.0) if s.cell == "lamps-task0" else s for s in told.scores]
    low[1] = low[1]._replace(by_hand=True)
    assert low[1].cell == "lamps-task0", "one of many"
    told = replace(told, scores=tuple(low))
    assert "Hard: lamps-task0" in page(told), "a check has had all that it could"
    views = tuple(replace(view, in_words=True) for view in told.tasks)
    assert "Hard: lamps-task0" not in page(replace(told, tasks=views))


def test_the_likeliest_cause_is_called_so_only_where_it_stands_alone() -> None:
    told = a_class()
    causes = (("one", "try this.", 2), ("two", "try that.", 2))
    views = tuple(replace(view, causes=causes) for view in told.tasks)
    assert "among others (2): one" in page(replace(told, tasks=views))
    assert "most often (9): no sleep" in page(told)


def test_what_is_not_asked_is_in_no_mean(course: Path) -> None:
    """`ill` is excused, and has handed in all the same."""
    told = read_results(course)
    assert {len(view.shares) for view in told.tasks} == {6}
    heads, *rows = csv.reader((report(course)[4]).read_text("utf-8-sig").splitlines())
    assert {row[heads.index("marked")] for row in rows} == {"6"}
    rows = list(csv.reader((course / "report" / "tasks.csv").read_text("utf-8-sig").splitlines()))
    own = [row for row in rows if row[0] == "ill"]
    assert len(own) == len(FULL) + 1 and {(row[3], row[5]) for row in own} == {("", "excused")}
    assert "ill," not in (course / "report" / "criteria.csv").read_text("utf-8")
    assert "1 answer " not in page(told) and "Answers to be marked" not in page(told)
    in_roster(course, "*,,,,2026-03-31", "*,,,,2199-03-31")
    for name in (f"l{k}" for k in range(6)):
        shutil.rmtree(course / "submitted" / name)
        with OpenCourse(course).gradebook() as book:
            book.remove_submission(LESSON, name)
    in_roster(course, ",2026-03-01,", ",2026-03-01,excused")
    told = read_results(course)
    assert told.lessons == () and {*told.uncounted} == {("ill", LESSON)}, "asked of nobody yet"
    assert "Ill One, lamps" in page(told)


def test_points_for_what_never_came_make_no_submission_and_no_answer_to_read(course: Path) -> None:
    before = page(read_results(course))
    appeal(course, "early", SIGNAL, points=10.0, by="me", why="on paper")
    text = page(read_results(course))
    for words in ("7 submissions", "0 answers to be marked"):
        assert words in before and words in text
    assert "Nothing handed in yet</b> (1): Early One" in text
    assert f"Other tasks that wait for points:</b> lamps {len(FULL)};" in text
    assert f"{len(FULL)} other tasks" in text and "Other tasks" not in before


def test_two_of_one_name_are_told_apart(course: Path, tmp_path: Path) -> None:
    with OpenCourse(course).gradebook() as book:
        for name in ("l0", "l1"):
            book.update_or_create_student(name, first_name="Anna", last_name="Müller")
    list(feedback(course))
    said = "\n".join(back(course, export(tmp_path, "Username;Lamps\nl2;-\n")))
    assert "no folder known for: Ill One, Anna Müller (l0), Anna Müller (l1), Learner l2" in said
    assert "not in the list: Anna Müller (l0), Anna Müller (l1), Learner l3" in said
    low = [s._replace(points=0.0) for s in read_results(course).scores]
    text = page(replace(read_results(course), scores=tuple(low)))
    assert "(6): Anna Müller (l0), Anna Müller (l1), Learner l2" in text


def test_a_lesson_not_due_that_nobody_has_handed_in_is_asked_of_nobody(course: Path) -> None:
    for folder in ("submitted", "autograded"):
        shutil.rmtree(course / folder)
    in_roster(course, "2026-03-31", "2199-03-31")
    with OpenCourse(course).gradebook() as book:
        for name in ("ill", *(f"l{k}" for k in range(6))):
            book.remove_submission(LESSON, name)
    assert read_results(course).lessons == () and row_of(course, "l1")["of"] == "0"
    in_roster(course, "2199-03-31", "2026-03-31")
    assert row_of(course, "l1")["of"] == "36"


@pytest.mark.parametrize(
    ("said", "told"),
    [("Anna", "'aboehm' or 'aschroed'"), ("anna böhm", "'aboehm'"), ("Ana", "'aboehm' or"),
     ("boe", ""), ("aboem", "'aboehm'")],
)  # fmt: skip
def test_all_who_are_called_so_are_told(said: str, told: str) -> None:
    roster = Roster((Student("aboehm", "Anna", "Böhm"), Student("aschroed", "Anna", "Schröder")))
    with pytest.raises(UnknownNameError) as raised:
        meant_learner(said, ["aboehm", "aschroed"], roster)
    fault = raised.value
    assert fault.hint.partition("did you mean ")[2].startswith(told)
    assert ("aschroed" in fault.hint) == ("or" in told)


def test_a_slip_with_learners_and_lessons_is_told_with_what_was_meant(course: Path) -> None:
    for do in (lambda **o: mark(course, pool=QuickPool(), **o),
               lambda **o: list(feedback(course, **o))):  # fmt: skip
        with pytest.raises(UnknownNameError) as told:
            do(lessons=["l1"])
        assert told.value.hint == "l1 is a learner: --learner l1"
        with pytest.raises(UnknownNameError) as told:
            do(learners=["l1, l2"])
        assert told.value.hint == "name one at a time: --learner l1 --learner l2"
    with pytest.raises(KitError, match="Nothing of early is marked, so there is no page"):
        list(feedback(course, ["early"]))


def test_a_learner_is_found_by_the_small_letters_of_a_slip(course: Path) -> None:
    """A class's server writes every id in small letters; here it is the other way round."""
    made = appeal(course, "L1", SIGNAL, points=3.0, by="me", why="so")
    assert made.learner == "l1"
    assert mark(course, learners=["L1"], pool=QuickPool()).unchanged == 1
    assert any("1 pages" in line or "1 page" in line for line in feedback(course, ["L1"]))
    alike = Roster((Student("Ann"), Student("ann")))
    assert meant_learner("ann", ["Ann", "ann"], alike) == "ann"
    with pytest.raises(UnknownNameError):
        meant_learner("ANN", ["Ann", "ann"], alike)


def test_a_reader_who_goes_ends_no_command(course: Path, tmp_path: Path) -> None:
    """`... | head -1`: what the command does is done to its end, and nothing is said of it."""
    file = export(tmp_path, "Username;Lamps\nl0;-\n")
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [sys.executable, "-m", "checks", "back", str(course), str(file)], cwd=ROOT,
        stdout=write, stderr=subprocess.PIPE, check=False,
    )  # fmt: skip
    os.close(write)
    assert (done.returncode, done.stderr) == (0, b"")
    assert (course / "packs" / "points-list.csv").is_file()


def test_points_and_feedback_go_back_in_the_platforms_own_shape(
    course: Path, tmp_path: Path
) -> None:
    export = tmp_path / "list.csv"
    export.write_text("First name;Last name;Username;Lamps\nA;B;l0;-\nI;O;ill;-\nX;Y;nobody;-\n",
                      encoding="utf-8")  # fmt: skip
    Shelf(course, "l0", LESSON).note_folder("A B_1234_file")
    list(feedback(course))
    said = list(back(course, export))
    rows = [row.split(";") for row in
            (course / "packs" / "points-list.csv").read_text(encoding="utf-8").splitlines()]
    points = {s.cell: s.points for s in read_results(course).scores if s.learner == "l0"}
    assert [row[3] for row in rows] == ["Lamps", f"{sum(points.values()):g}", "-", "-"]
    assert any(line.startswith("In the course, not in the list: Learner l1") for line in said)
    assert "In the list, not in the course, left as they were: X Y" in said
    assert not any(line.startswith("New columns") for line in said)
    export.write_text("Username;Lampen\nl0;\n", encoding="utf-8")
    assert "New columns at the end, since no heading has title or id: Lamps" in [
        *back(course, export)]  # fmt: skip
    with zipfile.ZipFile(course / "packs" / f"feedback-{LESSON}-by-platform.zip") as pack:
        assert pack.namelist() == [f"A B_1234_file/{LESSON}.html"]
    export.write_text("Username\nsomebody\n", encoding="utf-8")
    with pytest.raises(KitError, match="Nobody of this class"):
        list(back(course, export))


def test_a_row_without_an_id_of_the_course_is_found_by_mail_or_name(
    course: Path, tmp_path: Path
) -> None:
    """One person was both "in the course, not in the list" and the other way round."""
    with OpenCourse(course).gradebook() as book:
        book.update_or_create_student("l0", first_name="Bo", last_name="Lee-Ray")
        book.update_or_create_student("l1", email="one@example.org")
        book.update_or_create_student("l2", first_name="Ann", last_name="Fox", email="a@b.org")
        book.update_or_create_student("l3", first_name="Sam", last_name="O'Neill, Jr")
    rows = 'Name,Email,Lamps\n"Lee-Ray, Bo",,\n"Else, Who",one@example.org,\n' \
           '"Fox, Ann",other@b.org,\n"O\'Neill, Jr, Sam",,\n'
    said = list(back(course, export(tmp_path, rows)))
    (look,) = (line for line in said if line.startswith("look: found by e-mail or name"))
    assert [id in look for id in ("(l0)", "(l1)", "(l2)", "(l3)")] == [True, True, False, True]
    filled = (course / "packs" / "points-list.csv").read_text("utf-8").splitlines()
    assert [bool(row.rpartition(",")[2]) for row in filled[1:]] == [True, True, False, True]
    (strange,) = (line for line in said if line.startswith("In the list, not in the course"))
    assert strange.endswith(": Ann Fox")


def test_who_was_taken_out_of_the_roster_is_told_from_who_never_was_in_it(
    course: Path, tmp_path: Path
) -> None:
    list(feedback(course))
    in_roster(course, "l3,Learner l3\n", "")
    in_roster(course, "early,Early One,2026-03-31,,\n", "")  # with another id in the list
    file = export(tmp_path, "Username;Name;Lamps\nl0;Learner l0;\nl3;Learner l3;\n"
                            "x7;Early One;\nzora;Zora Quill;\n")  # fmt: skip
    said = list(back(course, file))
    gone = "No longer in the roster, so left as they were in the list"
    assert f"{gone}: Learner l3, Early One" in said
    assert "In the list, not in the course, left as they were: Zora Quill" in said
    assert "lamps: not in the roster, so their pages are left out: l3" in said


def test_no_page_goes_into_a_folder_of_two(course: Path, tmp_path: Path) -> None:
    """Both lay in it under one name, and each learner would have read the other's."""
    list(feedback(course))
    for learner, folder in (("l0", "A_1"), ("l1", "B_2"), ("l2", "B_2")):
        Shelf(course, learner, LESSON).note_folder(folder)
    said = list(back(course, export(tmp_path, "Username;Lamps\nl0;-\n")))
    (look,) = (line for line in said if "'B_2' is a folder of" in line)
    assert "Learner l1 and Learner l2" in look
    with zipfile.ZipFile(course / "packs" / "feedback-lamps-by-platform.zip") as pack:
        assert {name.partition("/")[0] for name in pack.namelist()} == {"A_1"}
