"""What a term asks of people: appeals, a second marker, and work that is not asked of somebody."""

from __future__ import annotations

import contextlib
import csv
import json
import shutil
from pathlib import Path

import pytest

from checks.commands import main
from checks.course.classroom import OWN
from checks.course.open_course import OpenCourse
from checks.course.regions import ANSWER
from checks.course.roster import read_roster
from checks.marking.appeals import appeal
from checks.marking.class_results import numbers_of, read_results
from checks.marking.decided import appeals_of
from checks.marking.feedback import feedback
from checks.marking.marker import mark
from checks.marking.progress import Progress
from checks.marking.report import score_rows
from checks.marking.report_page import page
from checks.marking.second import agreement, compare, draw
from robotsim import KitError
from tests.checks.marking.cases import LESSON, SIGNAL, answer, program
from tests.checks.marking.conftest import TOLD, WORDS, hand_in, points
from tests.checks.marking.quick import QuickPool

pytestmark = pytest.mark.slow



def pairs(table: list[list[int]]) -> list[tuple[float, float]]:
    """Give the pairs of a table: how often the first said the row and the second the column."""
    return [(k, j) for k, row in enumerate(table) for j, n in enumerate(row) for _ in range(n)]


def test_kappa_of_a_published_worked_example() -> None:
    """From memory: R. Artstein and M. Poesio, Computational Linguistics 34 (2008) 555-596, table 1.

    Chance agreement 0.4 x 0.3 + 0.6 x 0.7 = 0.54, so (0.7 - 0.54) / 0.46 = 0.348.
    """
    found = agreement(pairs([[20, 20], [10, 50]]))
    assert found.equal == pytest.approx(0.7) and found.kappa == pytest.approx(0.348, abs=5e-4)


def test_agreement_at_its_ends() -> None:
    assert agreement(pairs([[5, 0], [0, 5]])).kappa == pytest.approx(1.0)
    assert agreement(pairs([[5, 5], [5, 5]])).kappa == pytest.approx(0.0)
    assert agreement(pairs([[9]])).kappa is None
    assert agreement([(1.0, 2.0), (3.0, 3.0)]).apart == pytest.approx(0.5)


def first_points(course: Path) -> dict[str, float]:
    """Give the first marker's points by the keys of the answers that were drawn."""
    had = {(s.learner, s.cell): s.points for s in read_results(course).scores}
    return {key: had[learner, cell] for key, (learner, cell) in whose(course).items()}


def whose(course: Path) -> dict[str, tuple[str, str]]:
    """Give whose the drawn answers are, by the texts on the second marker's page."""
    page = (course / "second" / "answers.html").read_text(encoding="utf-8")
    keys = [row[0] for row in drawn_rows(course)[1:]]
    parts = [page.partition(f"<h3>{key} ")[2] for key in keys]
    numbers = [part.partition("My answer is number ")[2][:1] for part in parts]
    return {key: (f"l{k}", WORDS) for key, k in zip(keys, numbers, strict=True)}


def drawn_rows(course: Path) -> list[list[str]]:
    text = (course / "second" / "points.csv").read_text(encoding="utf-8-sig")
    return [*csv.reader(text.splitlines())]


def fill_in(course: Path, points: dict[str, float]) -> Path:
    """Write a second marker's points into the table that was drawn."""
    heads, *rows = drawn_rows(course)
    file = course / "second" / "points.csv"
    given = [heads, *([key, cell, f"{points[key]:g}"] for key, cell, _ in rows)]
    file.write_text("\n".join(map(",".join, given)), encoding="utf-8")
    return file


def test_who_stops_marking_is_told_at_once_and_what_stays_done(
    course: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stop(bar: Progress, what: str) -> None:
        bar.done += 1
        if bar.done == 2:
            raise KeyboardInterrupt

    monkeypatch.setattr(Progress, "step", stop)
    monkeypatch.setattr("checks.marking.orders.LocalPool", lambda *_, **__: QuickPool())
    assert main(["mark", str(course), "--again"]) == 130
    said = capsys.readouterr()
    assert said.out.rstrip().endswith("Stopping ...")
    assert "Stopped. 2 of 7 are marked and stay so; the same command goes on." in said.err


def test_what_is_not_asked_of_somebody_counts_neither_way(course: Path) -> None:
    told = read_results(course)
    assert told.excused == {("ill", LESSON), ("new", LESSON), ("gone", LESSON)}
    heads, *rows = score_rows(told)
    by_id = {row[0]: dict(zip(heads, row, strict=True)) for row in rows}
    for name in ("ill", "new", "gone"):
        assert by_id[name]["lamps (of 36)"] == "excused"
        assert (by_id[name]["total"], by_id[name]["of"], by_id[name]["to_mark"]) == ("0", "0", "0")
    assert by_id["l0"]["of"] == by_id["early"]["of"] == "36"
    text = page(told)
    assert text.count("<td>excused</td>") == 3 and "<b>Nothing handed in yet</b> (1): Early" in text


def test_who_is_not_in_the_roster_is_told_and_counted_nowhere(course: Path) -> None:
    work = course / "submitted" / "l0" / LESSON / f"{LESSON}.ipynb"
    before = len(read_results(course).people)
    hand_in(course, "zero", work.read_bytes())
    said = mark(course, learners=["zero"], pool=QuickPool())
    assert said.strangers == {"zero"} and (said.done, said.for_you) == (0, [])
    told = read_results(course)
    assert told.strangers == ("zero",) and len(told.people) == before
    assert not [s for s in told.scores if s.learner == "zero"]
    text = page(told)
    assert f"{before} learners" in text and "counted nowhere: zero." in text
    assert "zero" not in page(read_results(course, anonymous=True))


def test_what_could_not_be_read_is_told_in_the_report_and_with_the_feedback(course: Path) -> None:
    hand_in(course, "early", b"{")
    mark(course, learners=["early"], pool=QuickPool())
    text = page(read_results(course))
    assert "<b>Could not be read or marked:</b> Early One, lamps; why is told below." in text
    assert "<summary>Could not be read or marked (1)</summary>" in text
    (line,) = (row for row in feedback(course) if row.startswith("early"))
    assert line.startswith("early, lamps: no page: The file is cut off")
    assert [*feedback(course, ["early"], ["lamps"])] and [*feedback(course, lessons=["lamps"])]
    with pytest.raises(KitError, match="did you mean 'lamps'"):
        list(feedback(course, lessons=["lamp"]))


def test_who_was_collected_and_not_marked_has_handed_in(course: Path) -> None:
    work = course / "submitted" / "l0" / LESSON / f"{LESSON}.ipynb"
    hand_in(course, "early", work.read_bytes())
    text = page(read_results(course))
    assert "Nothing handed in yet" not in text and "not marked yet:</b> 1 submission" in text


def test_a_wrong_word_for_excused_or_a_day_is_told_with_its_line(tmp_path: Path) -> None:
    file = tmp_path / "class.csv"
    file.write_text("id,joined,lamps\n*,,excused\nbo,soon,excuse\n", encoding="utf-8")
    with pytest.raises(KitError) as fault:
        read_roster(file)
    assert str(fault.value).count("is no date") == 3 and "line 3" in str(fault.value)


def test_an_appeal_keeps_who_decided_why_and_what_it_changed(course: Path) -> None:
    made = appeal(course, "l1", "lamps.signal", points=7.5, by="Ms Ray", why="the lamp was broken")
    assert (made.before, made.after) == (12.0, 7.5)
    again = appeal(course, "l1", SIGNAL, by="Ms Ray", why="the other way after all", again=True,
                   remark=lambda *which: mark(course, again=True, pool=QuickPool()))  # fmt: skip
    assert (again.before, again.after) == (7.5, 12.0)
    assert again.found.endswith("so the same result")
    assert appeals_of(course) == [made, again]


def test_an_answer_that_waits_had_no_points_before(course: Path) -> None:
    with OpenCourse(course).gradebook() as book:
        grade = book.find_grade(WORDS, LESSON, LESSON, "l1")
        grade.manual_score, grade.auto_score, grade.needs_manual_grade = None, 0.0, True
        book.db.commit()
    assert appeal(course, "l1", WORDS, points=2.5, by="me", why="read").before is None


def test_the_same_appeal_twice_is_one_decision(course: Path) -> None:
    first, second = (appeal(course, "l1", SIGNAL, points=7.5, by="me", why="so") for _ in "ab")
    assert first == second and appeals_of(course) == [first]
    other = appeal(course, "l1", SIGNAL, points=7, by="me", why="so")
    assert appeals_of(course) == [first, other]


def resubmit(course: Path, learner: str) -> None:
    """Hand in another program and another answer."""
    file = course / "submitted" / learner / LESSON / f"{LESSON}.ipynb"
    nb = json.loads(file.read_bytes())
    program(nb, "x = 2\ny = 3\n")
    answer(nb)["source"] = "I have thought again."
    file.write_text(json.dumps(nb), encoding="utf-8")


def test_points_given_by_hand_belong_to_the_file_that_was_looked_at(course: Path) -> None:
    """They neither count for another file nor wait beside it, and they are written down."""
    appeal(course, "l3", SIGNAL, points=1.5, by="me", why="a broken lamp")
    resubmit(course, "l3")
    said = mark(course, pool=QuickPool())
    heads, *rows = score_rows(read_results(course))
    own = dict(zip(heads, next(row for row in rows if row[0] == "l3"), strict=True))
    assert float(own["total"]) + float(own["to_mark"]) <= float(own["of"])
    told = {s.cell: s for s in read_results(course).scores if s.learner == "l3"}
    assert (told[SIGNAL].points, told[SIGNAL].by_hand) == (12.0, False), "the check's own"
    assert (told[WORDS].points, told[WORDS].by_hand) == (0.0, True)
    kept = [(one.cell, one.before, one.by) for one in appeals_of(course)[1:]]
    assert sorted(kept) == [(SIGNAL, 1.5, "mark"), (WORDS, 3.0, "mark")]
    assert "points given by hand (1.5) were for an earlier file" in said.for_you[0][2]
    again = appeal(course, "l3", SIGNAL, by="me", why="once more",
                   remark=lambda *which: mark(course, again=True, pool=QuickPool()))  # fmt: skip
    assert (again.before, again.after) == (12.0, 12.0) and "same program" not in again.found


@pytest.mark.parametrize("ends", [KitError("Broken off."), KeyboardInterrupt(), "killed"])
def test_a_marking_that_is_broken_off_takes_no_points_that_a_person_gave(
    ends: BaseException | str, course: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """nbgrader deletes the marked copy first: the next marking took the same file for another."""
    before = points(course)
    place = course / "autograded" / "l3" / LESSON / f"{LESSON}.ipynb"
    looked_at = place.read_bytes()

    def broken(opened: OpenCourse, lesson: str, learner: str) -> None:
        shutil.rmtree(place.parent)
        raise SystemExit if ends == "killed" else ends

    with monkeypatch.context() as patch:
        patch.setattr(OpenCourse, "autograde", broken)
        if ends == "killed":  # nothing is put back then
            patch.setattr("checks.whole._take_place", lambda *_: None)
        with contextlib.suppress(SystemExit, KeyboardInterrupt):
            mark(course, again=True, learners=["l3"], pool=QuickPool())
    assert ends == "killed" or place.read_bytes() == looked_at
    said = mark(course, pool=QuickPool())
    assert (said.for_you, points(course)) == ([], before)
    assert place.is_file() and not list((course / ".quayside" / "under way").rglob("*.ipynb"))


def test_nothing_both_counts_and_waits_whoever_has_marked(course: Path) -> None:
    """nbgrader's own button leaves old points on an entry that it asks a person to look at."""
    with OpenCourse(course).gradebook() as book:
        book.find_grade(SIGNAL, LESSON, LESSON, "l1").manual_score = 11.0
        book.find_grade(SIGNAL, LESSON, LESSON, "l1").needs_manual_grade = True
        book.find_grade(WORDS, LESSON, LESSON, "l1").needs_manual_grade = True
        book.db.commit()
    told = {s.cell: s for s in read_results(course).scores if s.learner == "l1"}
    assert (told[WORDS].points, told[WORDS].by_hand) == (0.0, True)
    assert told[SIGNAL].points == 12.0, "what the check found"
    list(feedback(course, ["l1"]))
    text = (course / "feedback" / "l1" / LESSON / f"{LESSON}.html").read_text("utf-8")
    assert "your teacher has given the points" not in text


def test_an_appeal_after_another_program_came_says_so(course: Path) -> None:
    file = course / "submitted" / "l2" / LESSON / f"{LESSON}.ipynb"
    nb = json.loads(file.read_bytes())
    program(nb, "x = 2\n")
    file.write_text(json.dumps(nb), encoding="utf-8")
    made = appeal(course, "l2", SIGNAL, by="me", why="handed in late",
                  remark=lambda *which: mark(course, pool=QuickPool()))  # fmt: skip
    assert "the program is another" in made.found


@pytest.mark.parametrize(
    ("learner", "task", "more", "told"),
    [("l1", "lamps.signal", {"points": 99.0}, "0 to 12 points"),
     ("l1", "lamps.sign", {"points": 1.0}, "did you mean 'lamps-signal'"),
     ("l1", "lamp.signal", {"points": 1.0}, "did you mean 'lamps-signal'"),
     ("l1", "elsewhere", {"points": 1.0}, "known are lamps-fade"),
     ("l11", "lamps.signal", {"points": 1.0}, "did you mean 'l1'"),
     ("learner L4", "lamps.signal", {"points": 1.0}, "did you mean 'l4'"),
     ("lamps.signal", "l4", {"points": 1.0}, "did you mean: l4 lamps.signal?"),
     ("l1", "", {"points": 1.0}, "about one task"),
     ("new", "lamps.signal", {}, "no marked task"),
     ("l1", "lamps.signal", {"points": -1.0}, "0 to 12 points"),
     ("l1", "lamps.words", {}, "an answer in words"),
     ("l1", "lamps.signal", {"why": " "}, "who decided and why")],
)  # fmt: skip
def test_an_appeal_that_cannot_be_changes_nothing(
    learner: str, task: str, more: dict[str, float | str], told: str, course: Path
) -> None:
    with pytest.raises(KitError, match=told):
        appeal(course, learner, task, **{"by": "me", "why": "so", **more})  # type: ignore[arg-type]
    assert appeals_of(course) == []


def test_a_second_marker_sees_no_names_and_no_points_and_agreement_is_told(course: Path) -> None:
    assert "5 answers" in next(draw(course, 5))
    text = (course / "second" / "answers.html").read_text(encoding="utf-8")
    assert text.count("My answer is number") == 5
    assert not [name for name in TOLD if f">{name}<" in text or f", {name} " in text]
    assert text.count("How it is marked") == 1, "question and rubric are there, once"
    heads, *rows = drawn_rows(course)
    assert all(row[2] == "" for row in rows)
    told = first_points(course)
    file = fill_in(course, {**told, rows[0][0]: 4.0})
    said = list(compare(course, file))
    assert "5 answers, 80 % with the same points" in said[0] and len(said) == 3
    file.write_text("learner;points\nl0;3\n", encoding="utf-8")
    with pytest.raises(KitError, match="no table of a second marker"):
        list(compare(course, file))
    rows[0][2] = "9"
    file.write_text("\n".join(map(",".join, [heads, *rows])), encoding="utf-8")
    with pytest.raises(KitError, match="0 to 4 points"):
        list(compare(course, Path("points.csv")))  # that of the course, wherever one stands


def test_all_wrong_rows_of_a_second_marker_are_told_at_once_and_whose_differ(course: Path) -> None:
    assert any("no more are marked" in line for line in draw(course, 100))
    told = first_points(course)
    key = next(iter(told))
    file = fill_in(course, {**told, key: 0.0 if told[key] else 1.0})
    assert list(compare(course, file))[-1].startswith(f"  {whose(course)[key][0]} ({key}), {WORDS}")
    heads, *rows = drawn_rows(course)
    rows[0][2], rows[1][2], rows[2][0] = "9", "two", "somebody"
    file.write_text("\n".join(map(",".join, [heads, *rows])), encoding="utf-8")
    with pytest.raises(KitError) as fault:
        list(compare(course, file))
    assert [f"line {k}: " in str(fault.value) for k in (2, 3, 4, 5)] == [True, True, True, False]


def test_a_class_list_that_changes_moves_no_points_of_a_second_marker(course: Path) -> None:
    list(draw(course, 3))
    first, own = first_points(course), whose(course)
    key = next(iter(first))
    file = fill_in(course, {**first, key: 4.0})
    with OpenCourse(course).gradebook() as book:
        for k in range(9):
            book.add_student(f"joiner{k}")
    said = list(compare(course, file))
    assert "3 answers, 67 %" in said[0]
    assert said[-1] == f"  {own[key][0]} ({key}), {WORDS}: {first[key]:g} and 4"


def test_a_second_markers_file_of_elsewhere_is_refused_and_an_earlier_text_left_out(
    course: Path,
) -> None:
    list(draw(course, 3))
    file = fill_in(course, first_points(course))
    earlier = file.rename(file.with_name("earlier.csv"))
    list(draw(course, 2))
    assert "3 answers, 100 %" in next(compare(course, earlier)), "an earlier draw holds on"
    (learner, _), *_ = whose(course).values()
    marked = course / "autograded" / learner / LESSON / f"{LESSON}.ipynb"
    nb = json.loads(marked.read_bytes())
    answer(nb)["source"] = "I have thought again."
    marked.write_text(json.dumps(nb), encoding="utf-8")
    said = list(compare(course, earlier))
    assert said[0] == "Left out:" and f"  {learner} (" in said[1]
    assert "another answer stands there now" in said[1] and "2 answers, 100 %" in said[2]
    (course / OWN / "drawn.json").unlink()
    with pytest.raises(KitError, match="of another course"):
        list(compare(course, earlier))
    file.write_text("learner,task,points\nlearner-1,lamps-words,3\n", encoding="utf-8")
    with pytest.raises(KitError, match="an earlier edition"):
        list(compare(course, file))


def test_no_cell_of_a_second_markers_table_is_read_as_anothers(course: Path) -> None:
    """`3,5` without quotation marks between commas was read as 3, and a row twice counted twice."""
    list(draw(course, 4))
    file = fill_in(course, first_points(course))
    heads, *rows = file.read_text(encoding="utf-8").splitlines()
    comma = f"{rows[0].rpartition(',')[0]},3,5"
    file.write_text("\n".join([heads, comma, *rows[1:], rows[1]]) + "\n", encoding="utf-8")
    with pytest.raises(KitError) as fault:
        list(compare(course, file))
    told = str(fault.value)
    assert "line 2: it has 1 cell more than the heading" in told
    assert f"line 6: the answer {rows[1][:8]!r} has points in line 3 already" in told
    file.write_text("\n".join([f"{heads},remark", *rows[:3], f"{rows[3].rpartition(',')[0]},,hm"]),
                    encoding="utf-8")  # fmt: skip
    said = list(compare(course, file))
    assert said[0] == "1 row without points, so not compared" and "3 answers, 100 %" in said[1]


def test_who_does_not_count_is_neither_drawn_nor_compared(course: Path) -> None:
    with OpenCourse(course).gradebook() as book:
        grade = book.find_grade(WORDS, LESSON, LESSON, "ill")
        grade.manual_score, grade.needs_manual_grade = 2.0, False
        book.db.commit()
    said = list(draw(course))
    assert said[0].startswith("6 answers"), "`ill` is excused"
    assert not any("asked for" in line for line in said), "nobody has asked for a number"
    file = fill_in(course, first_points(course))
    roster = course / "roster.csv"
    roster.write_text(roster.read_text("utf-8").replace("l2,Learner l2\n", ""), encoding="utf-8")
    said = list(compare(course, file))
    assert said[0] == "Left out:" and said[1].startswith("  l2 (")
    assert said[1].endswith("is not in the roster any more") and "5 answers" in said[2]
    assert next(draw(course)).startswith("What was filled in") and "5 answers" in [*draw(course)][0]


def test_the_numbers_of_an_anonymous_report_stay_whoever_joins(course: Path) -> None:
    before = numbers_of(course, TOLD)
    after = numbers_of(course, [*TOLD, *(f"joiner{k}" for k in range(9))])
    assert {id: after[id] for id in TOLD} == before and len({*after.values()}) == len(after)
    assert {after[f"joiner{k}"] for k in range(9)} == {f"learner-{n:02}" for n in range(7, 16)}


def test_nobody_marks_once_more_what_nobody_wrote(course: Path) -> None:
    for name in TOLD[:2]:
        marked = course / "autograded" / name / LESSON / f"{LESSON}.ipynb"
        nb = json.loads(marked.read_bytes())
        answer(nb)["source"] = ANSWER
        marked.write_text(json.dumps(nb), encoding="utf-8")
    assert next(draw(course, 9)).startswith("4 answers")


def test_a_new_sample_keeps_what_a_second_marker_has_filled_in(course: Path) -> None:
    list(draw(course, 3))
    file = course / "second" / "points.csv"
    assert not any("is kept" in line for line in draw(course, 3)), "nothing was filled in"
    filled = file.read_text(encoding="utf-8-sig").rstrip() + "2,5\n"
    file.write_text(filled, encoding="utf-8")
    said = list(draw(course, 3))
    assert "is kept" in said[0] and file.read_text(encoding="utf-8-sig") != filled
    assert file.with_name("points-1.csv").read_text(encoding="utf-8") == filled


def test_a_sample_has_low_and_high_points_alike(course: Path) -> None:
    list(draw(course, 2))
    low, high = sorted(first_points(course).values())
    assert low < 1.5 < high
