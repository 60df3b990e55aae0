"""Nothing of Python is used in what a learner sees before it was explained, and each thing once."""

from __future__ import annotations

import ast
import builtins
import json
import re

import pytest

from checks.course.copies import learner_copy
from checks.course.files import from_bytes
from checks.course.lessons import LESSONS, Lesson, find_lessons
from checks.course.python_words import GRANTED, WORDS, kinds_of
from robotsim.notebook import program_cell

OUR_CALLS = {"print()", "range()", "ValueError()", "OSError()"}
"""Built-in names that the lessons themselves explain, or that name an error."""
KINDS = {kind: kinds for kinds in WORDS for kind in kinds.split()}


@pytest.fixture(params=find_lessons(), ids=lambda lesson: lesson.id)
def lesson(request: pytest.FixtureRequest) -> Lesson:
    found: Lesson = request.param
    return found


def code(lesson: Lesson) -> list[str]:
    cells = json.loads(lesson.notebook.read_text(encoding="utf-8"))["cells"]
    return ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]


def test_whatever_a_lesson_shows_is_granted_or_has_its_words(lesson: Lesson) -> None:
    for source in code(lesson):
        for kind in kinds_of(source):
            if kind.endswith("()"):
                known = hasattr(builtins, kind[:-2])
                assert not known or kind in KINDS or kind in OUR_CALLS, (kind, source)
            else:
                assert kind in GRANTED or kind in KINDS, (kind, source)


def test_in_the_copies_a_word_is_explained_once_and_before_its_first_use() -> None:
    told: list[str] = []
    for lesson in [one for one in find_lessons() if one.id in ("start", "lamps", "drive")]:
        for cell in from_bytes(learner_copy(lesson.notebook.read_bytes(), lesson)).cells:
            if cell.cell_type == "markdown":
                told += [words for words in WORDS.values() if f"\n- {words}" in cell.source]
                continue
            used = {KINDS[kind] for kind in kinds_of(cell.source) if kind in KINDS}
            lacking = [kinds for kinds in used if WORDS[kinds] not in told]
            assert not lacking, (lesson.id, lacking, cell.source)
    assert len(told) == len(set(told)) > 10


def test_each_row_names_kinds_that_python_has_and_no_kind_twice() -> None:
    kinds = [kind for row in WORDS for kind in row.split()]
    assert len(kinds) == len(set(kinds)) and not GRANTED & set(kinds)
    for kind in kinds:
        assert hasattr(builtins, kind[:-2]) if kind.endswith("()") else hasattr(ast, kind), kind


def test_what_is_said_is_short_and_its_expressions_are_python() -> None:
    for words in WORDS.values():
        assert len(re.sub(r"`[^`]*`", "", words).split()) <= 40, words
        for piece in re.findall(r"`([^`]+)`", words):
            if re.fullmatch(r"[a-z\[{(f\"0-9][^:]*", piece) and " " in piece and "def" not in piece:
                tried = piece if not piece.startswith(("not in", "is not")) else f"a {piece} b"
                ast.parse(tried)


def test_a_cells_solution_is_no_part_of_what_is_seen() -> None:
    hidden = "%%program a.py\nx = 1\n### BEGIN SOLUTION\nwhile x: pass\n### END SOLUTION"
    assert program_cell(hidden) is not None
    assert "While" not in set(kinds_of(hidden)) and "Assign" in set(kinds_of(hidden))
    assert "While" in set(kinds_of(hidden.replace("### ", "# ")))
    assert list(kinds_of("%%bash\nls")) == [] == list(kinds_of("x = = 3"))


def test_the_lessons_still_grant_what_is_granted_here() -> None:
    text = (LESSONS / "start.md").read_text(encoding="utf-8")
    assert "a name, a number, `print`, a `for` loop" in text
