"""A site's page finds in saved notebooks what a computer's home page finds there."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

import pytest

from checks import TASKS
from checks.course.lessons import find_lessons
from checks.course.release import release
from checks.home.deeds import amiss
from checks.home.progress import look
from checks.site.packages import KIT
from checks.site.pages import WORDS
from robotsim.notebook import text_mark
from tests.checks.home.test_home import judged_cell

pytestmark = pytest.mark.npm
HERE = Path(__file__).parent
TEXTS = ["", "x = 1\n", "x = 'größe'\r\n\r\n", " x\t\n ", "📡 = 1"]


def run(notebook: dict[str, Any]) -> dict[str, Any]:
    """Give a notebook of which a cell has run."""
    next(c for c in notebook["cells"] if c["cell_type"] == "code")["execution_count"] = 1
    return notebook


def checked(notebook: dict[str, Any], task: str, judged: str, now: str) -> dict[str, Any]:
    """Give one with a card of all points for a text, and the text that its cell holds now."""
    name = TASKS[task].program
    for cell in notebook["cells"]:
        about = cell["metadata"].get("nbgrader", {}).get("grade_id")
        if about == f"{task.replace('.', '-')}-program":
            cell["source"] = f"\n%%program {name}\n{now}"
        elif about == task.replace(".", "-"):
            cell["outputs"] = judged_cell(task, **{name.removesuffix(".py"): judged})["outputs"]
    return run(notebook)


def test_a_page_and_a_computer_say_the_same_of_every_notebook(npm: str, tmp_path: Path) -> None:
    list(release(tmp_path))
    files = {one.file: json.loads((tmp_path / one.file).read_bytes()) for one in find_lessons()}
    given = json.loads(json.dumps(files))
    checked(files["1-lamps.ipynb"], "lamps.side", "x = 1\n", "x = 1")
    checked(files["1-lamps.ipynb"], "lamps.fade", "x = 1\n", "x = 2")
    checked(files["2-drive.ipynb"], "drive.straight", "x = 'ö'", "x = 'ö'\r\n\n")
    gone = checked(files["4-line.ipynb"], "line.onoff", "x = 1\n", "x = 1")
    gone["cells"] = [c for c in gone["cells"] if "onoff-program" not in json.dumps(c["metadata"])]
    files["mine ü.ipynb"] = run(json.loads(json.dumps(files["3-arm.ipynb"])))
    files["start.ipynb"] = json.loads(json.dumps(files["0-start.ipynb"]))
    run(files["5-turn.ipynb"])
    words = next(c for c in run(files["6-radio.ipynb"])["cells"]
                 if c["cell_type"] == "markdown" and "nbgrader" in c["metadata"])  # fmt: skip
    words["source"] = "Because it is *retained*."
    for file, notebook in files.items():
        (tmp_path / file).write_text(json.dumps(notebook), encoding="utf-8")
    cases = tmp_path / "cases.json"
    told = {"words": WORDS, "files": files, "given": given, "texts": TEXTS,
            "lessons": [{"id": one.id, "file": one.file} for one in find_lessons()]}  # fmt: skip
    cases.write_text(json.dumps(told), encoding="utf-8")
    command = ["node", str(HERE / "saved.mjs"), str(KIT / "page"), str(cases)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    page = json.loads(done.stdout)
    assert page["marks"] == list(map(text_mark, TEXTS))
    desk = [{"begun": bool(one.begun), "points": one.earned, "open": len(one.open),
             "changed": list(one.changed), "astray": one.astray,
             "amiss": amiss((tmp_path / one.lesson.file).read_bytes(), one)}
            for one in look(tmp_path)]  # fmt: skip
    assert page["found"] == desk
    said = json.dumps(desk, ensure_ascii=False)
    for part in ("fade.py is not as it was checked", "holds onoff.py", "mine ü.ipynb",
                 "nothing in it was changed. What counts"):  # fmt: skip
        assert part in said, "and there was something to find"
