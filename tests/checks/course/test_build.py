from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from checks import Task
from checks.course.build import build, differences
from checks.course.lessons import pick_lessons
from robotsim import KitError


def test_building_twice_gives_the_same_bytes(
    lessons: Path, fixture_tasks: Mapping[str, Task]
) -> None:
    for lesson in pick_lessons([], lessons):
        before = lesson.notebook.read_bytes()
        build(lesson, fixture_tasks)
        assert lesson.notebook.read_bytes() == before


def test_outputs_hold_no_time_no_address_and_no_random_name(built: Path) -> None:
    text = (built / "mole" / "mole.ipynb").read_text(encoding="utf-8")
    notebook = json.loads(text)
    slider, value = (c["outputs"][0] for c in notebook["cells"] if c["cell_type"] == "code")
    assert all("execution" not in cell["metadata"] for cell in notebook["cells"])
    assert value["data"]["text/plain"] == ["<object at 0x0>"]
    view = slider["data"]["application/vnd.jupyter.widget-view+json"]["model_id"]
    state = notebook["metadata"]["widgets"]["application/vnd.jupyter.widget-state+json"]["state"]
    assert list(state) == [f"{count:032x}" for count in range(1, len(state) + 1)]
    assert state[view]["model_name"] == "VBoxModel"
    for child in state[view]["state"]["children"]:
        assert child.removeprefix("IPY_MODEL_") in state


def test_a_built_lesson_agrees_with_its_source(
    built: Path, fixture_tasks: Mapping[str, Task]
) -> None:
    assert differences((), built, fixture_tasks) == []


def _edit_text(notebook: Any) -> None:
    notebook["cells"][0]["source"] = "# Changed by hand"


def _edit_points(notebook: Any) -> None:
    for cell in notebook["cells"]:
        if "points" in cell["metadata"].get("nbgrader", {}):
            cell["metadata"]["nbgrader"]["points"] = 99


def _drop_cell(notebook: Any) -> None:
    del notebook["cells"][-1]


def _add_cell(notebook: Any) -> None:
    notebook["cells"].append({**notebook["cells"][0], "id": "another"})


def _not_run(notebook: Any) -> None:
    for cell in notebook["cells"]:
        if cell["cell_type"] == "code":
            cell["execution_count"] = None


def _other_kernel(notebook: Any) -> None:
    notebook["metadata"]["kernelspec"]["name"] = "other"


@pytest.mark.parametrize(
    "edit", [_edit_text, _edit_points, _drop_cell, _add_cell, _not_run, _other_kernel]
)
def test_a_notebook_edited_by_hand_no_longer_agrees(
    edit: Callable[[Any], None], lessons: Path, fixture_tasks: Mapping[str, Task]
) -> None:
    file = lessons / "pier" / "pier.ipynb"
    notebook = json.loads(file.read_text(encoding="utf-8"))
    edit(notebook)
    file.write_text(json.dumps(notebook), encoding="utf-8")
    (found,) = differences((), lessons, fixture_tasks)
    assert "pier.md" in found and "python3 checks build pier" in found


def test_a_lesson_never_built_and_a_notebook_without_source_are_told(
    lessons: Path, fixture_tasks: Mapping[str, Task]
) -> None:
    (lessons / "mole" / "mole.ipynb").unlink()
    (lessons / "pier" / "pier.md").write_text("not here", encoding="utf-8")
    (lessons / "odd").mkdir()
    (lessons / "odd" / "odd.ipynb").write_text("{}", encoding="utf-8")
    found = differences((), lessons, fixture_tasks)
    assert [line.split()[0] for line in found] == ["mole.md", "odd/odd.ipynb"]


def test_a_cell_that_fails_is_told_with_its_line_and_nothing_is_written(
    lessons: Path, fixture_tasks: Mapping[str, Task]
) -> None:
    (lesson,) = pick_lessons(["mole"], lessons)
    before = lesson.notebook.read_bytes()
    text = lesson.source.read_text(encoding="utf-8").replace("print(f", "pint(f")
    lesson.source.write_text(text + "\n```python\n1 / 0\n```\n", encoding="utf-8")
    with pytest.raises(KitError) as caught:
        build(lesson, fixture_tasks)
    line = 1 + lesson.source.read_text(encoding="utf-8").split("\n").index("1 / 0")
    assert "ZeroDivisionError" in caught.value.what
    assert caught.value.where == f"mole.md, line {line}"
    assert lesson.notebook.read_bytes() == before


def test_a_solution_that_does_not_pass_its_own_check_is_told(
    lessons: Path, fixture_tasks: Mapping[str, Task]
) -> None:
    (lesson,) = pick_lessons(["pier"], lessons)
    text = lesson.source.read_text(encoding="utf-8").replace('print("ahoy")', 'print("ahoy!")')
    lesson.source.write_text(text, encoding="utf-8")
    line = 1 + text.split("\n").index('check("pier.hello")')
    (told,) = build(lesson, fixture_tasks)
    assert "earned 1.5 of 3" in told and f"pier.md, line {line}:" in told
