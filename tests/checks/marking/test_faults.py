"""A passing fault is no result, one bad submission costs one line, and pages fetch nothing."""

from __future__ import annotations

import base64
import errno
import json
import os
import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from checks.commands import main
from checks.course.classroom import open_class
from checks.course.open_course import OpenCourse
from checks.faults import HaltError
from checks.marking import orders
from checks.marking.marker import Marked, mark
from checks.marking.noted import state_of
from checks.marking.requests import Request
from checks.marking.store import Store
from robotsim import KitError
from tests.checks.marking.cases import LESSON, answer, good_work, program
from tests.checks.marking.conftest import hand_in, points
from tests.checks.marking.quick import QuickPool
from tests.checks.marking.small_disk import mounted
from tests.checks.marking.test_grader_page import page, serving
from tests.checks.test_whole import fill, one_line

__all__ = ["page"]

pytestmark = pytest.mark.slow

NAMES = ("anna", "bo", "eve")
PNG = base64.b64encode(b"\x89PNG\r\n\x1a\n" + bytes(40)).decode()
SCRIPT = "<script>document.title='acted'</script>"


@pytest.fixture(scope="module")
def school(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A course in which three have handed in and nothing is marked."""
    home = tmp_path_factory.mktemp("school")
    (home / "class.csv").write_text(
        f"id,first_name,last_name\nanna,{SCRIPT},Beek\nbo,Bo,Lee\neve,Eve,Ray\n", encoding="utf-8"
    )
    list(open_class(home / "course", home / "class.csv", ids=[LESSON]))
    good = good_work((home / "course" / "release" / LESSON / f"{LESSON}.ipynb").read_bytes())
    for k, name in enumerate(NAMES):
        nb = json.loads(good)
        program(nb, "x = 1\n" * (k + 1))
        written = answer(nb)
        written["source"] = "So: ![my sketch](attachment:sketch.png) and ![lost](attachment:b.png)"
        written["attachments"] = {"sketch.png": {"image/png": PNG}}
        hand_in(home / "course", name, json.dumps(nb).encode())
    return home / "course"


@pytest.fixture
def course(school: Path, tmp_path: Path) -> Iterator[Path]:
    yield Path(shutil.copytree(school, tmp_path / "course"))


@pytest.fixture(scope="module")
def without_fault(school: Path, tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The scores of a run in which nothing went wrong."""
    course = Path(shutil.copytree(school, tmp_path_factory.mktemp("marked") / "course"))
    said = mark(course, pool=QuickPool())
    assert (said.done, said.for_you) == (len(NAMES), [])
    return points(course)


class Passing:
    """Trouble with whatever `bo` wrote, as long as it is there."""

    def __init__(self, fault: Exception) -> None:
        self.fault, self.there = fault, True

    def __call__(self, request: Request) -> None:
        if self.there and request.files.count("x = 1") == 2:
            raise self.fault


def twice(course: Path, fault: Exception) -> tuple[Marked, Marked, Marked]:
    """Mark with a fault twice and then without."""
    trouble = Passing(fault)
    first = mark(course, pool=QuickPool(trouble))
    second = mark(course, pool=QuickPool(trouble))
    trouble.there = False
    return first, second, mark(course, pool=QuickPool(trouble))


@pytest.mark.parametrize(
    "fault", [KitError("The check took too long."), RuntimeError("comm closed"), MemoryError()],
    ids=["a check that could not be run", "what runs it broke", "no memory"],
)  # fmt: skip
def test_a_passing_fault_is_listed_and_tried_again_until_it_is_gone(
    fault: Exception, course: Path, without_fault: Any
) -> None:
    first, second, third = twice(course, fault)
    partly = int(isinstance(fault, KitError))  # then the other checks of it are marked
    assert [who for who, _, _ in first.for_you] == ["bo"]
    assert (first.done, first.unchanged) == (len(NAMES) - 1 + partly, 0)
    assert (second.done, second.unchanged, second.for_you) == (partly, 2, first.for_you)
    assert (third.done, third.unchanged, third.for_you) == (1, 2, [])
    assert points(course) == without_fault
    assert mark(course, pool=QuickPool()).unchanged == len(NAMES)


@pytest.mark.parametrize(
    "fault", [HaltError("The cluster's scheduler is gone."), OSError(errno.ENOSPC, "full", "x")],
    ids=["a scheduler that is gone", "a full disk"],
)  # fmt: skip
def test_what_would_spoil_everything_ends_the_run_and_the_next_makes_it_good(
    fault: Exception, course: Path, without_fault: Any
) -> None:
    with pytest.raises(HaltError):
        mark(course, pool=QuickPool(Passing(fault)))
    assert "fault" not in state_of(course, "bo", LESSON)
    said = mark(course, pool=QuickPool())
    assert said.for_you == [] and said.done + said.unchanged == len(NAMES)
    assert points(course) == without_fault


def test_points_given_by_hand_end_a_fault(course: Path) -> None:
    trouble = Passing(KitError("The check took too long."))
    said = mark(course, pool=QuickPool(trouble))
    (_, _, words) = said.for_you[0]
    with OpenCourse(course).gradebook() as book:
        for row in words.splitlines():
            grade = book.find_grade(row.partition(":")[0], LESSON, LESSON, "bo")
            assert grade.needs_manual_grade
            grade.manual_score = 3.0
        book.db.commit()
    said = mark(course, pool=QuickPool(trouble))
    assert (said.unchanged, said.for_you) == (len(NAMES), [])


def test_a_disk_that_is_full_when_scores_are_entered_ends_the_run(
    course: Path, without_fault: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """nbgrader tells of it in its log alone."""
    from nbconvert.writers import FilesWriter

    def full(*_: Any, **__: Any) -> None:
        raise OSError(errno.ENOSPC, "No space left on device", "x")

    with monkeypatch.context() as patch:
        patch.setattr(FilesWriter, "write", full)
        with pytest.raises(HaltError, match="disk is full"):
            mark(course, pool=QuickPool())
    assert points(course) == {}  # nothing was entered in part
    assert mark(course, pool=QuickPool()).for_you == []
    assert points(course) == without_fault


def test_a_submission_is_entered_in_one_opening_of_the_gradebook_and_one_commit(
    course: Path, without_fault: Any
) -> None:
    from nbgrader.api import Gradebook
    from sqlalchemy import event

    done: list[str] = []
    with Gradebook(OpenCourse(course).coursedir.db_url) as book:
        engine = book.engine  # all openings share it
    event.listen(engine, "commit", lambda _: done.append("commit"))
    event.listen(engine, "connect", lambda *_: done.append("opening"))
    counts = []
    for names in (NAMES[:1], NAMES[1:]):  # of both the command's own openings are the same
        done.clear()
        assert mark(course, learners=names, pool=QuickPool()).done == len(names)
        counts.append(Counter(done))
    # To open it commits twice: are all tables there, and the course?
    assert counts[1] - counts[0] == Counter(opening=1, commit=3)
    assert points(course) == without_fault


@pytest.mark.long
@pytest.mark.parametrize("closed", [False, True], ids=["full", "read-only"])
def test_every_command_on_a_disk_that_takes_nothing_ends_with_one_line(
    closed: bool, school: Path, tmp_path: Path, without_fault: Any,
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """The real thing: a disk that is full and one that is read-only."""
    monkeypatch.setattr(orders, "LocalPool", lambda *_, **__: QuickPool())
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "anna_2026-03-01_lamps.ipynb").write_bytes(b"x" * 100_000)

    def all_end(*commands: str) -> None:
        for command in commands:
            more = {"collect": [str(tmp_path / "in")], "room": ["--no-browser"]}.get(command, [])
            assert main([command, str(course), *more]) == 1, command
            one_line(capsys.readouterr().err)

    with mounted(24 * 2**20) as disk:
        course = Path(shutil.copytree(school, disk / "course"))
        shut(disk, closed)
        all_end("course", "collect", "mark", "report", "room")
        if not closed:
            (disk / "filling").unlink()
            fill(disk, leave=150_000)  # enough to begin, not to end
            all_end("mark")
        opened(disk, closed)
        assert not [p for p in disk.rglob("*") if p.name.endswith((".part", ".tmp"))]
        assert main(["mark", str(course)]) == 0
        assert points(course) == without_fault
        shut(disk, closed)
        all_end("feedback")
        opened(disk, closed)
        assert main(["feedback", str(course)]) == 0
        assert len(list((course / "feedback").rglob("*.html"))) == len(NAMES)


def shut(disk: Path, closed: bool) -> None:
    if closed:
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
    else:
        fill(disk)


def opened(disk: Path, closed: bool) -> None:
    if closed:
        subprocess.run(["mount", "-o", "remount,rw", str(disk)], check=True)
    else:
        (disk / "filling").unlink()


def odd_names(course: Path, good: bytes) -> dict[str, str]:
    """Hand in what no platform gives; give the words that each must get."""
    with (course / "roster.csv").open("a", encoding="utf-8") as rows:
        rows.write("".join(f"{name}\n" for name in ("carl", "dora", "finn", "gina")))
    (course / "submitted" / "carl" / LESSON / f"{LESSON}.ipynb").mkdir(parents=True)
    hand_in(course, "dora", good)
    (course / "submitted" / "dora" / LESSON / "more.ipynb").mkdir()
    folder = hand_in(course, "finn", good)
    os.close(os.open(os.fsencode(folder) + b"/\xff.txt", os.O_CREAT))
    os.makedirs(os.fsencode(course / "submitted") + b"/\xff/lamps")
    hand_in(course, "<script>", good)
    half = {"cells": [{"cell_type": "code", "source": "", "metadata":
                       {"nbgrader": {"grade_id": "\ud800"}}}]}  # fmt: skip
    hand_in(course, "gina", json.dumps(half).encode())
    return {
        "carl": "a notebook's name", "dora": "a notebook's name", "finn": "cannot copy",
        "\udcff": "no learner's id", "<script>": "no learner's id", "gina": "No cell of the",
    }  # fmt: skip


def test_odd_submissions_cost_a_line_each_and_stop_neither_marking_nor_the_report(
    course: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    good = (course / "submitted" / "bo" / LESSON / f"{LESSON}.ipynb").read_bytes()
    wanted = odd_names(course, good)
    for _ in range(2):
        said = mark(course, pool=QuickPool())
        told = {who: words for who, _, words in said.for_you}
        assert told.keys() == wanted.keys()
        assert all(wanted[who] in words for who, words in told.items())
    assert said.unchanged == len(NAMES)
    assert main(["report", str(course)]) == 0
    page = (course / "report" / "report.html").read_text(encoding="utf-8")
    assert "&lt;script&gt;" in page and "<script>" not in page and "\\xff" in page
    shutil.rmtree(course / "submitted" / "gina")
    assert main(["report", str(course)]) == 0
    assert "gina" not in (course / "report" / "report.html").read_text(encoding="utf-8")
    assert capsys.readouterr().err == ""


# -- pages -----------------------------------------------------------------------


class Fetched(HTMLParser):
    """Notes whatever a browser would load for a page by itself."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.rules = ""
        self.feed(page)
        self.found += re.findall(r"(?:url\(|@import|\bfrom)\s*['\"]?((?:https?:)?//[^'\")]*)", page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        own = dict(attrs)
        if own.get("http-equiv") == "Content-Security-Policy":
            self.rules = own["content"] or ""
        links = [own.get("src"), own.get("data"), own.get("href") if tag == "link" else None]
        self.found += [link for link in links if link and re.match(r"(https?:)?//", link)]


@pytest.fixture(scope="module")
def fed_back(school: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    course = Path(shutil.copytree(school, tmp_path_factory.mktemp("fed") / "course"))
    mark(course, pool=QuickPool())
    for command in (["feedback"], ["report"], ["report", "--anonymous"]):
        assert main([command[0], str(course), *command[1:]]) == 0
    return course


def form_grader(course: Path, learner: str, **about: str) -> str:
    """Give the page that nbgrader's form grader serves, from its own exporter and template."""
    from nbconvert.exporters import HTMLExporter
    from nbgrader.server_extensions.formgrader import handlers
    from traitlets.config import Config

    settings = Config(OpenCourse(course).config)
    settings.HTMLExporter.template_name = "formgrade"
    settings.HTMLExporter.extra_template_basedirs = [handlers.template_path]
    resources = {
        "assignment_id": LESSON, "notebook_id": LESSON, "submission_id": "1", "index": 0,
        "total": 1, "base_url": "", "student": learner, "last_name": "Beek", "first_name": "Anna",
        "notebook_path": "x", **about,
    }  # fmt: skip
    file = course / "autograded" / learner / LESSON / f"{LESSON}.ipynb"
    page, _ = HTMLExporter(config=settings).from_filename(str(file), resources=resources)
    return str(page)


def test_no_page_fetches_anything_from_outside(fed_back: Path) -> None:
    pages = {p.name: p.read_text(encoding="utf-8") for p in fed_back.rglob("*.html")}
    assert len(pages) >= 3
    for name, text in pages.items():
        found = Fetched(text)
        assert not found.found and "default-src 'none'" in found.rules, name
    served = Fetched(form_grader(fed_back, "anna"))
    assert not served.found and "default-src 'self'" in served.rules


def test_pictures_are_in_the_page_that_goes_back_and_in_the_form_grader(fed_back: Path) -> None:
    back = (fed_back / "feedback" / "anna" / LESSON / f"{LESSON}.html").read_text(encoding="utf-8")
    for shown in (back, form_grader(fed_back, "anna")):
        assert f"data:image/png;base64,{PNG}" in shown
        assert 'alt="my sketch"' in shown and 'alt="lost"' in shown


def test_a_script_in_a_name_does_nothing_in_gradebook_and_form_grader(fed_back: Path) -> None:
    with OpenCourse(fed_back).gradebook() as book:
        assert "<" not in book.find_student("anna").first_name
    # A name that came into the gradebook by other means is escaped as the page is served.
    page = form_grader(fed_back, "anna", first_name=SCRIPT, last_name="\x1b\"'><img src=x>")
    assert SCRIPT not in page and "&lt;script&gt;" in page and "<img src=x" not in page


def test_a_script_in_a_name_acts_on_no_page_that_is_served(fed_back: Path, page: Any) -> None:
    """Not even one that came into the gradebook by nbgrader's own command."""
    with OpenCourse(fed_back).gradebook() as book:
        book.update_or_create_student("bo", first_name=SCRIPT, last_name=SCRIPT)
        number = book.find_submission_notebook(LESSON, LESSON, "bo").id
    try:
        with serving(fed_back) as address:
            places = [f"submissions/{number}/", "manage_students", "manage_students/bo",
                      f"manage_submissions/{LESSON}", f"gradebook/{LESSON}/{LESSON}"]  # fmt: skip
            for place in places:
                page.goto(f"{address}/formgrader/{place}", wait_until="networkidle")
                assert page.title() != "acted", place
                assert page.locator("body").inner_text().strip(), place
    finally:
        with OpenCourse(fed_back).gradebook() as book:
            book.update_or_create_student("bo", first_name="Bo", last_name="Lee")


def test_a_notebook_is_kept_in_order_with_its_pictures(fed_back: Path) -> None:
    data = (fed_back / "submitted" / "anna" / LESSON / f"{LESSON}.ipynb").read_bytes()
    copy = (fed_back / "release" / LESSON / f"{LESSON}.ipynb").read_bytes()
    found = Store(fed_back).notebook(data, copy, LESSON)
    assert found is not None and PNG.encode() in found[1]


@pytest.mark.parametrize(
    ("setting", "told"),
    [('LateSubmissionPlugin.penalty_method = "zeros"', "'zeros'"),
     ("Autograde.create_student = 7", "create_student"),
     ("LateSubmissionPlugin.penalty_metod = 'zero'", "c.LateSubmissionPlugin.penalty_method?")],
)  # fmt: skip
def test_a_setting_that_nbgrader_cannot_take_ends_the_command_in_one_line(
    setting: str, told: str, course: Path, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """It had a traceback for each submission, with exit code 0."""
    monkeypatch.setattr("checks.marking.orders.LocalPool", lambda *_, **__: QuickPool())
    with (course / "nbgrader_config.py").open("a", encoding="utf-8") as config:
        config.write(f"c.{setting}\n")
    assert main(["mark", str(course), "--again"]) == 1
    said = capsys.readouterr()
    assert "A setting of the course is wrong" in said.err and told in said.err
    assert "nbgrader_config.py" in said.err and "Traceback" not in said.out + said.err
    assert "l1" not in said.out + said.err, "it is no learner's fault"


def test_a_setting_of_a_class_that_is_nowhere_is_told_in_one_line(
    course: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody said it, and nothing cost what it was to cost."""
    monkeypatch.setattr("checks.marking.orders.LocalPool", lambda *_, **__: QuickPool())
    assert main(["mark", str(course)]) == 0 and "\n\n" not in f"\n{capsys.readouterr().out}"
    with (course / "nbgrader_config.py").open("a", encoding="utf-8") as config:
        config.write('c.LateSubmisionPlugin.penalty_method = "zero"\n')
    for words in (["mark", str(course)], ["course", str(course)]):
        assert main(words) == 0
        said = [row for row in capsys.readouterr().out.splitlines() if "LateSubmisionPlugin" in row]
        assert len(said) == 1 and said[0].startswith("look: "), words
        assert "did you mean LateSubmissionPlugin?" in said[0]
