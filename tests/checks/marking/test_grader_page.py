"""nbgrader's own form grader and our pages in a real browser, on the hostile class.

A page opens, a score given by hand is saved, feedback is written with it; and no script of a
learner's acts, whether in the page that a mentor opens or in the one that goes back.
"""

from __future__ import annotations

import contextlib
import csv
import socket
import subprocess
import sys
import time
import urllib.request
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from checks.course import grader
from checks.course.classroom import PACKS
from checks.course.lessons import LESSONS
from checks.course.open_course import OpenCourse
from checks.course.scores import scores
from checks.marking.feedback import feedback
from checks.marking.report import report
from tests.checks.marking.cases import LESSON, SIGNAL
from tests.checks.marking.conftest import Class

pytestmark = pytest.mark.slow

SCRIPTED = ["script-in-an-answer", "script-in-an-error", "script-in-an-output",
            "script-in-the-metadata"]  # fmt: skip
WORDS = "lamps-words"


@pytest.fixture(scope="module")
def page(chromium: str) -> Iterator[Any]:
    """A page of a browser that is not shown; what is said there is kept in `page.said`."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        one = browser.new_page(viewport={"width": 1280, "height": 1000})
        one.set_default_timeout(180_000)
        # Nothing is fetched from elsewhere, so the tests say the same everywhere.
        outside: list[str] = []

        def let(route: Any) -> None:
            address = route.request.url
            if "127.0.0.1" in address or address.startswith(("file:", "data:", "blob:")):
                route.continue_()
                return
            if route.request.resource_type != "document":  # a trap that a test stepped into
                outside.append(address)
            route.abort()

        one.route("**/*", let)
        yield one
        browser.close()
        assert not outside, "a page with a class's names on it asked for these"


@contextlib.contextmanager
def serving(course: Path) -> Iterator[str]:
    """Run a Jupyter server in a course folder, with nbgrader's form grader; give its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    process = subprocess.Popen(
        [
            sys.executable, "-m", "jupyter_server", f"--ServerApp.port={port}", "--allow-root",
            "--ServerApp.ip=127.0.0.1", "--no-browser", "--IdentityProvider.token=",
            "--ServerApp.password=", "--ServerApp.disable_check_xsrf=False",
            "--ServerApp.jpserver_extensions={'nbgrader.server_extensions.formgrader': True,"
            " 'jupyterlab': False, 'notebook': False, 'jupytext': False}",
        ],
        cwd=course, env=grader.environment(), stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )  # fmt: skip
    address = f"http://127.0.0.1:{port}"
    try:
        for _ in range(2400):
            with contextlib.suppress(OSError), urllib.request.urlopen(f"{address}/api", timeout=5):
                break
            assert process.poll() is None, "the server ended"
            time.sleep(0.1)
        yield address
    finally:
        process.terminate()
        process.wait()


@pytest.fixture(scope="module")
def server(hostile: Class) -> Iterator[str]:
    with serving(hostile.course) as address:
        yield address


def submission(course: Path, learner: str) -> str:
    with OpenCourse(course).gradebook() as book:
        return str(book.find_submission_notebook(LESSON, LESSON, learner).id)


def acted(page: Any) -> bool:
    """Tell whether a script has set the title, also after every trap was stepped into."""
    page.wait_for_timeout(200)
    found = any(frame.title() == "acted" for frame in page.frames)
    for trap in page.query_selector_all("a:has-text('trap')"):
        with contextlib.suppress(Exception):  # an earlier trap may have taken the page away
            trap.click(timeout=500, no_wait_after=True)
        # What such a link gives takes the place of the page.
        found = found or page.title() == "acted" or page.locator("body").inner_text() == "acted"
    return found


@pytest.fixture(scope="module")
def graded(hostile: Class, server: str, page: Any) -> Path:
    """The course after a mentor has given a written answer its points in the form grader."""
    name = submission(hostile.course, "aa-good")
    page.goto(f"{server}/formgrader/submissions/{name}/", wait_until="load")
    box = page.locator(f"input#{WORDS}.score")
    box.wait_for(timeout=60_000)
    shown = page.content()
    assert "So that both sides can be told from afar." in shown
    # The rubric stands in the question above the answer.
    source = (LESSONS / f"{LESSON}.md").read_text(encoding="utf-8")
    rubric = source.partition("### BEGIN MARK SCHEME")[2].strip()[:24]
    assert rubric in page.locator("main #notebook").inner_text()
    # What a person marks is on the first screen, before any program and card.
    assert page.locator(".nbgrader_cell").first.locator(f"input#{WORDS}").count() == 1
    assert page.locator(".nbgrader_cell").first.bounding_box()["y"] < 1000
    with page.expect_response(lambda r: "/api/grade/" in r.url and r.request.method == "PUT"):
        box.fill("3")
        box.press("Tab")
    return hostile.course


def test_a_score_given_in_the_form_grader_is_saved(graded: Path) -> None:
    (score,) = (s for s in scores(OpenCourse(graded)) if (s.learner, s.cell) == ("aa-good", WORDS))
    assert (score.points, score.by_hand) == (3.0, False)


def test_the_form_grader_shows_card_and_evidence(hostile: Class, server: str, page: Any) -> None:
    name = submission(hostile.course, "script-in-an-error")
    page.goto(f"{server}/formgrader/submissions/{name}/", wait_until="load")
    assert page.locator("[aria-label=Scorecard]").count() == 3
    assert "Marked with tug 7 on basin" in page.content()


@pytest.mark.parametrize("learner", SCRIPTED)
def test_no_script_acts_when_the_mentor_opens_the_page(
    learner: str, hostile: Class, server: str, page: Any
) -> None:
    name = submission(hostile.course, learner)
    page.goto(f"{server}/formgrader/submissions/{name}/", wait_until="load")
    page.locator(f"input#{WORDS}.score").wait_for(timeout=60_000)
    assert not acted(page)


@pytest.fixture(scope="module")
def fed_back(graded: Path) -> Path:
    """The course with the pages that go back, of those who matter here."""
    said = list(feedback(graded, ["aa-good", *SCRIPTED]))
    assert said[-1].startswith(f"{LESSON}: 5 of 5 pages written anew")
    return graded


def test_feedback_carries_the_score_given_by_hand(fed_back: Path) -> None:
    text = (fed_back / "feedback" / "aa-good" / LESSON / f"{LESSON}.html").read_text("utf-8")
    assert "3 of 4" in text and "Scorecard" in text


def test_what_lost_points_goes_back_with_a_replay(fed_back: Path) -> None:
    with zipfile.ZipFile(fed_back / PACKS / f"feedback-{LESSON}.zip") as pack:
        names = {*pack.namelist()}
    assert f"script-in-an-error/{SIGNAL}.html" in names
    assert f"script-in-an-error/{SIGNAL}-1.recording" in names
    assert f"aa-good/{LESSON}.html" in names and f"aa-good/{SIGNAL}.html" not in names


@pytest.mark.parametrize("learner", SCRIPTED)
def test_no_script_acts_in_the_pages_that_go_back(learner: str, fed_back: Path, page: Any) -> None:
    for path in (fed_back / "feedback" / learner / LESSON).glob("*.html"):
        page.goto(path.as_uri(), wait_until="load")
        assert not acted(page), path.name


@pytest.fixture(scope="module")
def reports(graded: Path) -> dict[str, str]:
    """The report with names and the one without."""
    paths = [*report(graded), *report(graded, anonymous=True)]
    return {path.name: path.read_text("utf-8-sig") for path in paths}


def test_the_report_stands_alone_and_no_script_acts_in_it(
    reports: dict[str, str], graded: Path, page: Any
) -> None:
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto((graded / "report" / "report.html").as_uri(), wait_until="load")
    assert not acted(page) and len(asked) == 1
    shown = page.content()
    assert "The file is empty." in shown and "guard" in shown
    assert "Most often missed" in shown and "Likeliest misconception" in shown


def test_the_same_program_is_told_neutrally(reports: dict[str, str]) -> None:
    page = reports["report.html"]
    assert "Nearly the same program" in page and "this says no more than that" in page
    assert "cheat" not in page.lower() and "plagiar" not in page.lower()


def test_the_csv_has_every_learner_and_no_formula(reports: dict[str, str], hostile: Class) -> None:
    rows = list(csv.DictReader(reports["scores.csv"].splitlines()))
    by_id = {row["id"]: row for row in rows}
    assert len(by_id) == len(rows) >= len(hostile.cases)
    assert by_id["aa-good"]["total"] == "35" and by_id["not-json"]["lamps (of 36)"] == ""
    assert not any(cell[:1] in "=+@" for row in rows for cell in row.values() if cell)


def test_the_anonymous_report_names_nobody(reports: dict[str, str], hostile: Class) -> None:
    names = {path.name for path in (hostile.course / "submitted").iterdir()}
    for file in ("report-anonymous.html", "scores-anonymous.csv", "tasks-anonymous.csv"):
        assert not [name for name in names if name in reports[file]]
        assert "learner-01" in reports[file]
    numbers = {line.split(",")[0] for line in reports["scores-anonymous.csv"].splitlines()[1:]}
    assert len(numbers) == len(names)
