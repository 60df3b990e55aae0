from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import nbformat
import pytest
from nbformat import NotebookNode
from nbgrader.nbgraderformat import MetadataValidator

from checks import Task
from checks.course.lessons import Lesson
from checks.course.regions import solved, starter
from checks.course.source import Source, read_source
from robotsim import KitError

PIER = (Path(__file__).parent / "fixtures" / "pier.md").read_text(encoding="utf-8")


def source_of(text: str, folder: Path, tasks: Mapping[str, Task]) -> Source:
    (folder / "pier.md").write_text(text, encoding="utf-8")
    return read_source(Lesson("pier", folder, "At the pier"), tasks)


@pytest.fixture
def pier(tmp_path: Path, fixture_tasks: Mapping[str, Task]) -> Source:
    return source_of(PIER, tmp_path, fixture_tasks)


def graded(source: Source) -> dict[str, NotebookNode]:
    cells = [cell for cell in source.notebook.cells if "nbgrader" in cell.metadata]
    return {cell.metadata["nbgrader"]["grade_id"]: cell for cell in cells}


def test_nbgrader_and_nbformat_accept_the_metadata(pier: Source) -> None:
    nbformat.validate(pier.notebook)
    MetadataValidator().validate_nb(pier.notebook)


def test_points_come_from_the_task_and_only_an_answer_carries_its_own(pier: Source) -> None:
    points = {name: cell.metadata["nbgrader"].get("points") for name, cell in graded(pier).items()}
    assert points == {
        "pier-hello-program": None, "pier-hello": 3, "pier-why-question": None, "pier-why": 4
    }  # fmt: skip


def test_checks_are_locked_and_programs_and_answers_are_the_learners(pier: Source) -> None:
    marks = {
        name: tuple(cell.metadata["nbgrader"][key] for key in ("grade", "solution", "locked"))
        for name, cell in graded(pier).items()
    }
    assert marks == {
        "pier-hello-program": (False, True, False),
        "pier-hello": (True, False, True),
        "pier-why-question": (False, False, True),
        "pier-why": (True, True, False),
    }


def test_a_hidden_input_is_hidden_in_jupyterlab_too(pier: Source) -> None:
    last = pier.notebook.cells[-1].metadata
    assert last == {"tags": ["hide-input", "extra"], "jupyter": {"source_hidden": True}}


def test_every_cells_line_is_where_its_text_stands(pier: Source) -> None:
    rows = PIER.split("\n")
    for cell in pier.notebook.cells:
        assert rows[pier.lines[cell.id] - 1] in (cell.source.split("\n")[0], "### Why?")


def test_ids_stay_the_same_when_another_cell_is_put_in(
    pier: Source, tmp_path: Path, fixture_tasks: Mapping[str, Task]
) -> None:
    longer = PIER.replace("## Say hello", "```python\n1\n```\n\n## Say hello")
    other = source_of(longer, tmp_path, fixture_tasks)
    before, after = ([cell.id for cell in source.notebook.cells] for source in (pier, other))
    assert len(after) == len(before) + 1
    assert [name for name in after if name in before] == before


def test_two_equal_cells_have_two_ids(tmp_path: Path, fixture_tasks: Mapping[str, Task]) -> None:
    twice = source_of(PIER + "\n```python\nobject\n```\n" * 2, tmp_path, fixture_tasks)
    ids = [cell.id for cell in twice.notebook.cells]
    assert len(set(ids)) == len(ids)


def test_a_starter_keeps_the_indent_and_a_solved_program_loses_the_marks() -> None:
    program = "while x:\n    ### BEGIN SOLUTION\n    x = 0\n    ### END SOLUTION\nprint()"
    assert starter(program) == "while x:\n    # your lines here\nprint()"
    assert solved(program) == "while x:\n    x = 0\nprint()"


PROGRAM, CHECK, QUESTION = "%%program hello.py", 'check("pier.hello")', "### Why?"
ERRORS = {
    "unknown task": ('program="pier.hello"', 'program="pier.hallo"', PROGRAM, "did you mean"),
    "no check in a check cell": (f"{CHECK}\n", "1\n", "1", "nothing else"),
    "more in a check cell": (f"{CHECK}\n", f"{CHECK}\nprint(1)\n", CHECK, "nothing else"),
    "a check of another task": (f"{CHECK}\n", 'check("x.y")\n', 'check("x.y")', "nothing else"),
    "no check cell": ('python check="pier.hello"', "python", "```", "has no check cell"),
    "no program cell": ('python program="pier.hello"', "python", PROGRAM, "no meaning"),
    "a second program": (
        "<details>", '```python program="pier.hello"\n%%program again.py\n```\n\n<details>',
        "%%program again.py", "second program",
    ),
    "another file": (PROGRAM, "%%program other.py", "%%program other.py", "begins with"),
    "no end of the solution": ("### END SOLUTION\n", "", PROGRAM, "region between"),
    "a solution outside": ("## Say hello", "### BEGIN SOLUTION", "### BEGIN SOLUTION", "meaning"),
    "a mark misspelt": ("### END SOLUTION", "#### END SOLUTION", PROGRAM, "each alone"),
    "a starter that is no program": ("# Say it once.", "x = (", PROGRAM, "cannot be compiled"),
    "points for a check": ('check="pier.hello"', 'check="pier.hello" points=9', CHECK, "together"),
    "points left out": (" points=4", "", QUESTION, "needs its points"),
    "points that are text": ("points=4", 'points="4"', QUESTION, "needs its points"),
    "a question named as a task": ('"pier.why"', '"pier.hello"', QUESTION, "unlike any task"),
    "a question of another lesson": ('"pier.why"', '"mole.why"', QUESTION, "unlike any task"),
    "no place for the answer": ("*Write your answer here.*", "", QUESTION, "has one line"),
    "no mark scheme": ("### BEGIN MARK SCHEME", "", QUESTION, "one region"),
    "an unknown option": ('tags="hide-input extra"', 'tag="x"', "object", "no option 'tag'"),
    "a result hidden by a semicolon": ("object\n", "object;\n", "object;", "semicolon"),
    "an answer in code": ('python check="pier.hello"', 'python answer="x.y"', CHECK, "markdown"),
}  # fmt: skip


@pytest.mark.parametrize("name", ERRORS)
def test_a_source_that_cannot_be_is_refused_with_its_line(
    name: str, tmp_path: Path, fixture_tasks: Mapping[str, Task]
) -> None:
    old, new, row, words = ERRORS[name]
    assert old in PIER
    text = PIER.replace(old, new, 1)
    with pytest.raises(KitError) as caught:
        source_of(text, tmp_path, fixture_tasks)
    assert words in str(caught.value)
    rows = text.rstrip("\n").split("\n")
    lines = [number for number, other in enumerate(rows, 1) if other == row]
    assert caught.value.where in [f"pier.md, line {number}" for number in lines]
