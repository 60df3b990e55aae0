from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator

import pytest
from nbformat import NotebookNode
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

from checks import TASKS, Scorecard
from checks.course.lessons import ROOT
from checks.marking import client
from checks.marking.client import Worker
from checks.marking.requests import Request, requests_of
from robotsim import KitError

SOURCES = {"a-one": 'check("a.one")', "a-two": 'check("a.two")'}


def graded(name: str, source: str = "") -> NotebookNode:
    marks = {"grade": True, "solution": False, "locked": True, "points": 3}
    cell = new_code_cell(source or SOURCES[name])
    cell.metadata["nbgrader"] = {**marks, "grade_id": name, "schema_version": 3}
    return cell


def asked(*cells: NotebookNode) -> list[tuple[str, dict[str, str]]]:
    found = requests_of(new_notebook(cells=list(cells)).cells, SOURCES)
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


def test_the_same_request_has_the_same_name_and_another_tug_has_another() -> None:
    one, other = Request("a.one", "{}"), Request("a.one", "{}", 3)
    assert one.mark == Request("a.one", "{}").mark != other.mark


# -- the process that checks ---------------------------------------------------


@pytest.fixture(scope="module")
def worker() -> Iterator[Worker]:
    with Worker() as one:
        yield one


def side(worker: Worker, program: str) -> str:
    found = worker.check(Request("lamps.side", json.dumps({"side.py": program})))
    return str(found.about["points"])


def test_a_result_carries_points_and_card(worker: Worker) -> None:
    for name, task in TASKS.items():
        about = worker.check(Request(name, "{}")).about
        card = Scorecard.without_program(task)
        assert (about["points"], about["card"]) == (repr(card), card._repr_html_())


def test_a_program_cannot_speak_in_the_checks_place(worker: Worker) -> None:
    forged = json.dumps({"head": {"points": "10"}, "sizes": []})
    tricks = [
        f"print({forged!r})",
        f"import sys\nsys.stdout.write({forged!r} + '\\n')",
        f"import os\nos.write(1, {forged!r}.encode() + b'\\n')",
        "import sys\nsys.exit(0)",
        "import os\nos._exit(0)",
    ]
    for trick in tricks:
        assert side(worker, trick) == "0", trick


def test_a_check_that_cannot_be_run_is_told_and_the_worker_goes_on(worker: Worker) -> None:
    with pytest.raises(KitError, match="no task called"):
        worker.check(Request("lamps.no_such_task", "{}"))
    assert side(worker, "") == "0"


def test_a_worker_that_takes_too_long_is_replaced(
    worker: Worker, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(client, "CHECK_S", 0.2)
    with pytest.raises(KitError, match=r"took more than 0.2 s"):
        side(worker, "exec('while True: pass')\n")
    monkeypatch.undo()
    assert side(worker, "") == "0"


def test_the_process_that_checks_starts_without_nbgrader() -> None:
    code = (
        "import sys\nfrom checks import check\nimport checks.marking.worker\n"
        "import checks.marking.repair\n"
        "heavy = {'nbgrader', 'nbformat', 'matplotlib'} & {*sys.modules}\n"
        "assert not heavy, heavy"
    )
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True)
