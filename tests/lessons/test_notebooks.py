"""The lessons as they stand in the repository: sources and notebooks agree, and read well."""

from __future__ import annotations

import configparser
import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from nbformat import NotebookNode
from nbgrader.utils import determine_grade, is_grade

from checks import TASKS
from checks.course.build import differences
from checks.course.files import read
from checks.course.lessons import LESSONS, ORDER, ROOT, Lesson, find_lessons
from robotsim.show.display import SANITIZE

WIDGETS = "application/vnd.jupyter.widget-state+json"


@pytest.fixture(params=find_lessons(), ids=lambda lesson: lesson.id)
def lesson(request: pytest.FixtureRequest) -> Lesson:
    found: Lesson = request.param
    return found


@pytest.fixture
def notebook(lesson: Lesson) -> NotebookNode:
    return read(lesson.notebook)


def outputs(notebook: NotebookNode) -> Iterator[Any]:
    for cell in notebook.cells:
        yield from cell.get("outputs", ())


class Images(HTMLParser):
    """Collects the attributes of all images of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[dict[str, str | None]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "img":
            self.found.append(dict(attrs))


def images(notebook: NotebookNode) -> list[dict[str, str | None]]:
    """Give all images that a notebook's outputs and sliders show."""
    reader = Images()
    for output in outputs(notebook):
        reader.feed(output.get("data", {}).get("text/html", ""))
    for model in notebook.metadata.get("widgets", {}).get(WIDGETS, {}).get("state", {}).values():
        value = model["state"].get("value")
        reader.feed(value if isinstance(value, str) else "")
    return reader.found


def test_sources_and_notebooks_agree() -> None:
    assert differences() == []


def test_the_lessons_of_this_kit_are_there_and_every_lesson_has_its_place() -> None:
    found = [lesson.id for lesson in find_lessons()]
    assert {"start", "lamps", "drive"} <= {*found} <= {*ORDER}


def test_every_task_belongs_to_a_lesson_that_is_there() -> None:
    assert {task.lesson for task in TASKS.values()} <= {lesson.id for lesson in find_lessons()}


def test_no_stored_output_is_an_error_or_a_warning(notebook: NotebookNode) -> None:
    allowed = {
        id(output)
        for cell in notebook.cells
        if "raises-exception" in cell.metadata.get("tags", ())
        for output in cell.outputs
    }
    for output in outputs(notebook):
        if id(output) not in allowed:
            assert output.output_type != "error", output
            assert output.get("name") != "stderr", output


def test_the_lessons_own_solutions_earn_everything(notebook: NotebookNode) -> None:
    for cell in notebook.cells:
        if is_grade(cell) and cell.cell_type == "code":
            earned, most = determine_grade(cell)
            assert earned == most, cell.source


def test_every_picture_says_in_words_what_it_shows(notebook: NotebookNode) -> None:
    for output in outputs(notebook):
        bare = [kind for kind in output.get("data", {}) if kind.startswith("image/")]
        assert not bare, "JupyterLab gives such a picture no alt text: show it with robotsim.show"
    for image in images(notebook):
        assert len(image.get("alt") or "") >= 20, image.get("alt")
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            assert not re.search(r"!\[\s*\]\(", cell.source), cell.source


def test_the_graded_lessons_show_pictures() -> None:
    for name in ("lamps", "drive"):
        assert images(read(LESSONS / name / f"{name}.ipynb")), name


def test_nothing_stored_tells_of_the_machine_it_was_made_on(lesson: Lesson) -> None:
    text = lesson.notebook.read_text(encoding="utf-8")
    for place in (str(ROOT), str(Path.home()) + "/", "ipykernel_", "site-packages"):
        assert place not in text, place


def test_links_lead_to_lessons_that_are_there(lesson: Lesson, notebook: NotebookNode) -> None:
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            for link in re.findall(r"\]\(([^)#:\s]+)\)", cell.source):
                assert (lesson.notebook.parent / link).exists(), link


def test_nbval_overlooks_a_pictures_bytes_by_the_rule_of_the_module_that_draws() -> None:
    rules = configparser.RawConfigParser()
    rules.read(ROOT / "tests" / "nbval_sanitize.cfg", encoding="utf-8")
    assert (rules["picture"]["regex"], rules["picture"]["replace"]) == SANITIZE
    for kept in ("0x68", "12.5", "at 0x68", "3 of 3 points"):
        assert not re.search(rules["address"]["regex"], kept)


def test_stored_json_is_in_nbformats_own_form(lesson: Lesson) -> None:
    text = lesson.notebook.read_text(encoding="utf-8")
    assert text == json.dumps(json.loads(text), indent=1, ensure_ascii=False, sort_keys=True) + "\n"
