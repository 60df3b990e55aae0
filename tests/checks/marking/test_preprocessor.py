from __future__ import annotations

import json
import subprocess
import sys

import pytest
from nbformat import NotebookNode
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

from checks import TASKS, Scorecard
from checks.course.lessons import ROOT
from checks.marking.client import Request, Result, run_checks
from checks.marking.preprocessor import requests_of
from robotsim import KitError

SOURCES = {"a-one": 'check("a.one")', "a-two": 'check("a.two")'}


def graded(name: str, source: str = "") -> NotebookNode:
    marks = {"grade": True, "solution": False, "locked": True, "points": 3}
    cell = new_code_cell(source or SOURCES[name])
    cell.metadata["nbgrader"] = {**marks, "grade_id": name, "schema_version": 3}
    return cell


def asked(*cells: NotebookNode) -> list[tuple[str, dict[str, str]]]:
    found = requests_of(new_notebook(cells=list(cells)), SOURCES)
    return [(request.task, json.loads(request.files)) for _, request in found]


def test_a_check_sees_the_programs_above_it_and_the_last_of_a_name() -> None:
    cells = [
        new_code_cell("%%program one.py\nx = 1"),
        graded("a-one"),
        new_code_cell("%%program one.py\nx = 2"),
        new_code_cell("%%program two.py\n"),
        graded("a-two"),
        new_code_cell("%%program late.py\nx = 3"),
    ]
    assert asked(*cells) == [
        ("a.one", {"one.py": "x = 1\n"}),
        ("a.two", {"one.py": "x = 2\n", "two.py": "\n"}),
    ]


def test_other_cells_are_not_looked_at() -> None:
    cells = [
        new_code_cell("from robotsim.notebook import FLASH; FLASH['one.py'] = 'x'"),
        new_markdown_cell("%%program one.py\nx = 1"),
        new_code_cell("# a word first\n%%program one.py\nx = 1"),
        graded("a-one"),
    ]
    assert asked(*cells) == [("a.one", {})]


def test_empty_lines_above_the_magic_are_skipped_as_the_kernel_does() -> None:
    assert asked(new_code_cell("\n  \n%%program one.py\nx = 1"), graded("a-one")) == [
        ("a.one", {"one.py": "x = 1\n"})
    ]


def test_what_is_checked_is_what_the_teachers_version_says() -> None:
    assert asked(graded("a-one", 'check("a.two")')) == [("a.one", {})]
    assert asked(graded("a-one", "10")) == [("a.one", {})]


def test_a_check_that_nbgrader_put_back_is_understood() -> None:
    put_back = '# This cell (id:a-one) was missing.\n\ncheck("a.one")'
    assert asked(graded("a-one", put_back)) == [("a.one", {})]


def test_a_graded_cell_that_the_lesson_does_not_have_stops_the_marking() -> None:
    with pytest.raises(ValueError, match="'b-one' is no check"):
        asked(graded("b-one", 'check("a.one")'))


# -- the process that checks ---------------------------------------------------


def side(program: str) -> Result:
    files = json.dumps({"side.py": program})
    (result,) = run_checks([Request("lamps.side", files)])
    return result


def test_results_come_in_order_and_carry_points_and_card() -> None:
    requests = [Request(name, "{}") for name in TASKS]
    results = run_checks(requests)
    assert [result.points for result in results] == ["0"] * len(TASKS)
    for result, task in zip(results, TASKS.values(), strict=True):
        card = Scorecard.without_program(task)
        assert result == Result(repr(card), card._repr_html_())


def test_a_program_cannot_speak_in_the_checks_place() -> None:
    forged = json.dumps(["10", "forged"])
    tricks = [
        f"print({forged!r})",
        f"import sys\nsys.stdout.write({forged!r} + '\\n')",
        f"import os\nos.write(1, {forged!r}.encode() + b'\\n')",
        "import sys\nsys.exit(0)",
        "import os\nos._exit(0)",
    ]
    for trick in tricks:
        assert side(trick).points == "0", trick


def test_a_program_that_never_ends_costs_its_own_points_only() -> None:
    assert side("while True:\n    pass\n").points == "0"


def test_a_check_that_cannot_be_run_stops_the_marking() -> None:
    with pytest.raises(KitError, match="could not be run"):
        run_checks([Request("lamps.no_such_task", "{}")])


def test_the_process_that_checks_starts_without_nbgrader() -> None:
    code = (
        'import sys, io; sys.stdin = io.StringIO(\'["lamps.side", "{}"]\\n\')\n'
        "from checks.marking.worker import main\nmain()\n"
        "heavy = {'nbgrader', 'nbformat', 'matplotlib'} & {*sys.modules}\n"
        "assert not heavy, heavy"
    )
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True)
