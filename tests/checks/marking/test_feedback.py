"""The page that goes back: what stands on it, what does not, and what nbgrader makes of it."""

from __future__ import annotations

import json
import os
import re
import shutil
from html.parser import HTMLParser
from pathlib import Path

import pytest

from checks import TASKS
from checks.commands import main
from checks.course.classroom import open_class
from checks.course.open_course import OpenCourse
from checks.course.regions import ANSWER
from checks.marking import pages
from checks.marking.feedback import feedback
from checks.marking.marker import mark
from checks.marking.noted import state_of
from checks.marking.returned_page import _STYLE
from checks.marking.store import Store
from checks.scorecard import Scorecard
from tests.checks.marking.cases import FULL, LESSON, SIGNAL, answer, good_work, program
from tests.checks.marking.conftest import hand_in
from tests.checks.marking.quick import QuickPool

pytestmark = pytest.mark.slow

WORDS = "lamps-words"
SCRIPT = "<script>document.title='acted'</script>"
COMMENT = f"Good start.\n{SCRIPT}"


@pytest.fixture(scope="module")
def marked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A course in which two are marked, one of them by a mentor too."""
    home = tmp_path_factory.mktemp("school")
    (home / "class.csv").write_text("id,name\nanna,Anna Beek\nbo,Bo Lee\n", encoding="utf-8")
    course = home / "course"
    list(open_class(course, home / "class.csv", ids=[LESSON]))
    good = good_work((course / "release" / LESSON / f"{LESSON}.ipynb").read_bytes())
    for name in ("anna", "bo"):
        nb = json.loads(good)
        program(nb, "x = 1\n")
        answer(nb)["source"] = f"So that ships **see** it. {SCRIPT}"
        folder = hand_in(course, name, json.dumps(nb).encode())
        (folder / "timestamp.txt").write_text("2026-03-01 10:00:00 UTC\n", encoding="ascii")
        (folder / "submission_secret.txt").write_text(f"secret of {name}", encoding="ascii")
    mark(course, pool=QuickPool())
    with OpenCourse(course).gradebook() as book:
        grade = book.find_grade(WORDS, LESSON, LESSON, "anna")
        grade.manual_score, grade.needs_manual_grade = 3, False
        book.find_comment(WORDS, LESSON, LESSON, "anna").manual_comment = COMMENT
        book.find_grade(SIGNAL, LESSON, LESSON, "anna").auto_score = 0
        book.db.commit()
    real_card(course)
    return course


def real_card(course: Path) -> None:
    """Put a real card with a cause in the place of one of the quick crew's."""
    card = Scorecard.without_program(TASKS["lamps.signal"])
    store = Store(course)
    name = state_of(course, "anna", LESSON)["checks"][SIGNAL]
    found = store.by_mark(name)
    assert found is not None and card.cause is not None
    about = {**found.about, "card": card._repr_html_(), "rows": [], "points": "0",
             "cause": [card.cause.name, card.cause.evidence, card.cause.hint]}  # fmt: skip
    store._save(name, "result", about, [])


@pytest.fixture
def course(marked: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(marked, tmp_path / "course"))


def page(course: Path, learner: str = "anna", **how: bool) -> str:
    list(feedback(course, **how))
    return (course / "feedback" / learner / LESSON / f"{LESSON}.html").read_text(encoding="utf-8")


class Seen(HTMLParser):
    """Notes what a page is made of: the texts of table cells and of all, tags and rules."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.cells: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag in ("td", "th"):
            self.cells.append("")

    def handle_data(self, data: str) -> None:
        self.texts.append(data)
        if self.cells:
            self.cells[-1] += data


def test_tasks_bear_their_own_titles_with_their_points(course: Path) -> None:
    text = page(course)
    seen = Seen(text)
    for name, most in FULL.items():
        title = TASKS[name.replace("-", ".", 1)].title
        at = seen.cells.index(title)
        assert seen.cells[at + 1].endswith(f" of {most:g}")
    assert seen.cells[:3] == ["task", "points", "how it stands"]
    assert "Test cell" not in text and "In your own words" in seen.cells
    assert "Scorecard" in text and "the program is not on the board" in text


def test_what_to_try_next_is_the_likeliest_causes_hint(course: Path) -> None:
    cause = Scorecard.without_program(TASKS["lamps.signal"]).cause
    assert cause is not None
    told = "".join(Seen(page(course)).texts).partition("What to try next")[2]
    assert cause.hint.replace("`", "")[:40] in told.partition("Running lights")[0]


def test_a_mentors_words_and_points_are_there_and_nothing_of_them_acts(course: Path) -> None:
    text = page(course)
    assert "Good start." in text and "3 of 4" in text and "<strong>see</strong>" in text
    seen = Seen(text)
    assert "script" not in {tag for tag, _ in seen.tags} and SCRIPT in "".join(seen.texts)
    (rules,) = (a["content"] or "" for _, a in seen.tags if "http-equiv" in a)
    assert "default-src 'none'" in rules and "script-src" not in rules
    assert all(about.get("alt") for tag, about in seen.tags if tag == "img")


def test_what_nobody_has_marked_is_no_zero(course: Path) -> None:
    text = page(course, "bo")
    assert "– of 4" in text and "your teacher has still to look at what is worth 4 points" in text


@pytest.mark.parametrize("points", [0.0, 3.0, 4.0])
def test_who_was_given_points_for_an_empty_answer_is_not_asked_for_it(
    points: float, course: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    work = course / "submitted" / "bo" / LESSON / f"{LESSON}.ipynb"
    nb = json.loads(work.read_bytes())
    answer(nb)["source"] = ANSWER
    work.write_text(json.dumps(nb), encoding="utf-8")
    mark(course, learners=["bo"], pool=QuickPool())
    assert "there is no answer yet" in page(course, "bo")
    given = ["bo", "lamps.words", "--points", str(points), "--by", "me", "--why", "told me so"]
    assert main(["appeal", str(course), *given]) == 0
    assert "look: nothing is written there" in capsys.readouterr().out
    text = page(course, "bo")
    assert "told me so" in text and f"{points:g} of 4" in text
    asked = points == 0.0
    assert ("there is no answer yet" in text) == ("Nothing was written here" in text) == asked
    assert ("given the points for what is not in this notebook" in text) != asked
    assert main(["appeal", str(course), "anna", *given[1:]]) == 0
    assert "nothing is written" not in capsys.readouterr().out


def test_the_mark_scheme_is_shown_only_when_the_teacher_says_so(course: Path) -> None:
    scheme = "The mast blinks once, then stands dark"
    assert scheme not in page(course)
    assert scheme in page(course, with_scheme=True)
    assert scheme not in page(course)


def test_only_what_has_changed_is_written_anew(course: Path) -> None:
    assert f"{LESSON}: 2 of 2 pages" in [*feedback(course)][-1]
    assert f"{LESSON}: 0 of 2 pages" in [*feedback(course)][-1]
    with OpenCourse(course).gradebook() as book:
        book.find_comment(WORDS, LESSON, LESSON, "bo").manual_comment = "Why red?"
        book.db.commit()
    assert f"{LESSON}: 1 of 2 pages" in [*feedback(course)][-1]
    assert "Why red?" in page(course, "bo")


@pytest.mark.filterwarnings(  # nbgrader leaves a file open
    "ignore::ResourceWarning", "ignore::pytest.PytestUnraisableExceptionWarning"
)
def test_nbgraders_exchange_hands_the_page_out(course: Path, tmp_path: Path) -> None:
    """By nbgrader's own class: it asks for a note of the time and a secret beside the page."""
    from nbgrader.exchange.default import ExchangeReleaseFeedback
    from nbgrader.utils import notebook_hash

    text = page(course)
    opened = OpenCourse(course)
    opened.coursedir.assignment_id, opened.coursedir.student_id = LESSON, "anna"
    opened.config.Exchange.root = str(tmp_path / "exchange")
    (tmp_path / "exchange").mkdir(mode=0o777)
    (tmp_path / "exchange").chmod(0o777)
    hander = ExchangeReleaseFeedback(coursedir=opened.coursedir, config=opened.config)
    hander.assignment_dir = ""
    hander.start()
    name = notebook_hash(secret="secret of anna", notebook_id=LESSON)
    (out,) = (tmp_path / "exchange").rglob(f"{name}.html")
    assert out.read_text(encoding="utf-8") == text


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2, the term's own definition)."""
    digits = colour if len(colour) == 6 else "".join(2 * c for c in colour)
    parts = [int(digits[k : k + 2], 16) / 255 for k in (0, 2, 4)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


@pytest.mark.parametrize("which", [0, 1, 2], ids=["light", "dark", "on paper"])
def test_every_text_stands_out_from_its_ground(which: int) -> None:
    """WCAG 2.2, 1.4.3 (AA): a contrast of at least 4.5 to 1."""
    scheme = re.findall(r"--paper:.*?\}", _STYLE, re.S)[which]
    colours = dict(re.findall(r"--(\w+): #([0-9a-f]+)", scheme))
    for ink in ("ink", "quiet", "link"):
        for ground in ("paper", "soft"):
            pair = sorted((luminance(colours[ink]), luminance(colours[ground])))
            assert (pair[1] + 0.05) / (pair[0] + 0.05) >= 4.5, (ink, ground)


def test_a_crew_writes_the_same_pages_as_one_process(
    marked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written = {}
    for how, worth in (("alone", 99), ("crew", 1)):
        monkeypatch.setattr(pages, "WORTH", worth)
        monkeypatch.setattr(os, "cpu_count", lambda: 2)
        course = Path(shutil.copytree(marked, tmp_path / how / "course"))
        (spoilt,) = course.glob(f"autograded/bo/{LESSON}/*.ipynb")
        spoilt.write_text("no notebook", encoding="utf-8")
        said = list(feedback(course))
        assert said[0].startswith(f"bo, {LESSON}: no page: ")
        assert said[-1].startswith(f"{LESSON}: 1 of 2 pages written anew")
        written[how] = {p.relative_to(course): p.read_bytes()
                        for p in (course / "feedback").rglob("*") if p.is_file()}  # fmt: skip
    assert written["alone"] == written["crew"] and len(written["crew"]) > 2


def test_a_page_that_cannot_be_written_costs_itself_alone_in_a_crew_too(
    marked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pages, "WORTH", 1)
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    course = Path(shutil.copytree(marked, tmp_path / "course"))
    (course / "feedback").write_text("a file in the folder's place", encoding="utf-8")
    said = list(feedback(course))
    assert [line for line in said if "no page" in line], "told a page, and nothing is lost"
    assert (course / "feedback").read_text(encoding="utf-8") == "a file in the folder's place"
