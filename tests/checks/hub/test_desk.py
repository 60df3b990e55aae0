"""The desk keeps what is handed in, each learner's by itself; the home page speaks of it."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from checks import doctor
from checks.course.exchange import sent
from checks.course.lessons import LESSONS
from checks.desk import Desk, desk_here
from checks.home.handing import feedback_pages, fetch_feedback, hand_over
from checks.home.pages import home_page
from checks.home.progress import look
from checks.hub import desk
from checks.hub.back import give_back
from checks.hub.desk import MOST, given_back, store
from checks.hub.seat import lay_out
from robotsim import KitError

NOON = datetime(2026, 3, 2, 12, 0, 0, tzinfo=UTC)
ANSWERS = Desk("http://127.0.0.1:9/services/desk", "token")


def test_what_comes_again_unchanged_is_kept_once_and_what_changed_twice(tmp_path: Path) -> None:
    first = store(tmp_path, "anna", "lamps", b"one", NOON)
    assert store(tmp_path, "anna", "lamps", b"one", NOON + timedelta(minutes=1)) == first
    store(tmp_path, "anna", "lamps", b"two", NOON + timedelta(minutes=2))
    store(tmp_path, "anna", "lamps", b"one", NOON + timedelta(minutes=3))
    kept = sorted((tmp_path / "inbound").glob("*/*.ipynb"))
    assert [path.read_bytes() for path in kept] == [b"one", b"two", b"one"]
    assert sent(kept[0].parent.name) == ("anna", NOON)


@pytest.mark.parametrize(
    ("user", "lesson", "data"),
    [("anna", "../lamps", b"x"), ("anna", "nonsense", b"x"), ("anna", "lamps", b""),
     ("../anna", "lamps", b"x"), ("anna+bo", "lamps", b"x"), ("", "lamps", b"x")],
)  # fmt: skip
def test_no_name_leads_anywhere_else(tmp_path: Path, user: str, lesson: str, data: bytes) -> None:
    with pytest.raises(KitError, match="no notebook of a lesson"):
        store(tmp_path, user, lesson, data)
    assert not [*tmp_path.rglob("*")]


@pytest.mark.slow
def test_nbgraders_own_collect_takes_what_lies_there(tmp_path: Path) -> None:
    """With the settings of HUB.md; nbgrader is what the kit fixes."""
    data = (LESSONS / "lamps" / "lamps.ipynb").read_bytes()
    store(tmp_path / "desk", "anna", "lamps", data, NOON)
    store(tmp_path / "desk", "anna", "lamps", data + b"\n", NOON + timedelta(minutes=1))
    settings = [f"--Exchange.root={tmp_path}", "--ExchangeCollect.check_owner=False"]
    beside = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"  # nbgrader's helpers
    done = subprocess.run(
        [sys.executable, "-m", "nbgrader", "collect", "lamps", "--course", "desk", *settings],
        env={**os.environ, "HOME": str(tmp_path), "PATH": beside},
        cwd=tmp_path, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    taken = tmp_path / "submitted" / "anna" / "lamps" / "lamps.ipynb"
    assert taken.read_bytes() == data + b"\n"


def test_one_learner_cannot_fill_the_desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(desk, "ROOM", 10)
    store(tmp_path, "anna", "lamps", b"12345678", NOON)
    with pytest.raises(KitError, match="keeps no more of you"):
        store(tmp_path, "anna", "drive", b"123", NOON)
    store(tmp_path, "bo", "drive", b"123", NOON)
    assert MOST >= 30 * 10  # ten lessons, thirty times each


def test_feedback_is_given_to_its_owner_alone(tmp_path: Path) -> None:
    course, place = tmp_path / "course", tmp_path / "desk"
    for who in ("Anna", "Anna2"):
        page = course / "feedback" / who / "lamps" / "lamps.html"
        page.parent.mkdir(parents=True)
        page.write_text(who, encoding="utf-8")
    with pytest.raises(KitError, match="no desk of a hub"):
        list(give_back(course, place))
    (place / "feedback").mkdir(parents=True)
    assert [*give_back(course, place)][0].startswith("2 pages laid")
    assert [*give_back(course, place)][0].startswith("0 pages laid")
    (place / "feedback" / "anna" / "lamps" / "lamps.html").unlink()
    assert [*give_back(course, place)][0].startswith("1 page laid at the desk for 2 learners")
    pack = zipfile.ZipFile(io.BytesIO(given_back(place, "anna")))
    assert pack.namelist() == ["lamps/lamps.html"] and pack.read("lamps/lamps.html") == b"Anna"


# -- the learner's side ----------------------------------------------------------


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    list(lay_out(tmp_path / "mine", 23))
    return tmp_path / "mine"


def begin(folder: Path, file: str) -> None:
    notebook = json.loads((folder / file).read_text(encoding="utf-8"))
    code = next(cell for cell in notebook["cells"] if cell["cell_type"] == "code")
    code["execution_count"] = 1
    (folder / file).write_text(json.dumps(notebook), encoding="utf-8")


def test_a_seat_has_lessons_and_its_own_tug_and_what_is_there_stays(folder: Path) -> None:
    assert json.loads((folder / "tug.json").read_text(encoding="ascii")) == {"serial": 23}
    (folder / "tug.json").write_text('{"serial": 5}', encoding="ascii")
    begin(folder, "1-lamps.ipynb")
    mine = (folder / "1-lamps.ipynb").read_bytes()
    assert [*lay_out(folder, 23)] == [f"Your lessons in {folder} are up to date."]
    assert (folder / "1-lamps.ipynb").read_bytes() == mine
    assert json.loads((folder / "tug.json").read_text(encoding="ascii")) == {"serial": 5}


def test_all_that_was_begun_goes_to_the_desk(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[str, Any]] = []

    def ask(desk: Desk, what: str, data: bytes | None = None) -> bytes:
        asked.append((what, data))
        return b"2026-03-02 12:00:00.000000 UTC"

    monkeypatch.setattr(Desk, "ask", ask)
    with pytest.raises(KitError, match="nothing to hand in"):
        hand_over(ANSWERS, folder)
    begin(folder, "1-lamps.ipynb")
    untouched = hand_over(ANSWERS, folder)
    assert "Lamps: with your teacher since 2026-03-02" in untouched
    assert "But look: nothing in it was changed" in untouched
    assert asked == [("work/lamps", (folder / "1-lamps.ipynb").read_bytes())]
    notebook = json.loads((folder / "1-lamps.ipynb").read_text(encoding="utf-8"))
    cell = next(one for one in notebook["cells"] if "nbgrader" in one["metadata"])
    cell["source"] = "%%program side.py\n# mine"
    (folder / "1-lamps.ipynb").write_text(json.dumps(notebook), encoding="utf-8")
    assert "But look" not in hand_over(ANSWERS, folder)


def test_a_desk_that_does_not_answer_is_told_and_costs_nothing(folder: Path) -> None:
    begin(folder, "1-lamps.ipynb")
    with pytest.raises(KitError, match="cannot be reached"):
        hand_over(ANSWERS, folder)


def test_feedback_is_laid_into_its_folder_and_nowhere_else(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as pack:
        for name in ("lamps/lamps.html", "../tug.json", "lamps/../../tug.json", "/lamps.html",
                     "lamps/run.py", "lamps/a/b.html", "lamps/side.recording"):  # fmt: skip
            pack.writestr(name, "words")

    def ask(desk: Desk, what: str, body: bytes | None = None) -> bytes:
        return data.getvalue()

    before = {path for path in folder.parent.rglob("*")}
    monkeypatch.setattr(Desk, "ask", ask)
    assert fetch_feedback(ANSWERS, folder) == "New feedback: 1 page."
    assert fetch_feedback(ANSWERS, folder) == "Nothing new."
    new = {path.relative_to(folder).as_posix() for path in {*folder.parent.rglob("*")} - before}
    assert new == {"feedback", "feedback/lamps", "feedback/lamps/lamps.html",
                   "feedback/lamps/side.recording"}  # fmt: skip
    assert feedback_pages(folder) == {"Lamps": "feedback/lamps/lamps.html"}


def test_the_home_page_hands_in_to_a_desk_or_into_a_file(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("QUAYSIDE_DESK", raising=False)
    assert desk_here() is None
    monkeypatch.setenv("QUAYSIDE_DESK", "http://127.0.0.1:9/x/")
    monkeypatch.setenv("JUPYTERHUB_API_TOKEN", "secret")
    found = desk_here()
    assert found == Desk("http://127.0.0.1:9/x", "secret") and "secret" not in repr(found)
    alone, at_desk = (home_page(look(folder), 7, desk=desk) for desk in (False, True))
    assert "<button>Get the file to hand in" in alone and "Feedback</h2>" not in alone
    assert "<button>Hand in to your teacher" in at_desk and "this computer" not in at_desk
    assert "Log out" not in alone
    page = home_page(look(folder), 7, base="/user/a/", person="a<b>", code_page="/hub/code")
    assert "You are <strong>a&lt;b&gt;</strong>" in page and "'/hub/code'>Change your code" in page
    assert "'/user/a/logout'>Log out" in page
    page = home_page(look(folder), 7, newer=["1-lamps (new version).ipynb"])
    assert "lab/tree/1-lamps%20%28new%20version%29.ipynb" in page


def test_the_doctor_knows_a_seat_of_a_hub(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("JUPYTERHUB_SERVICE_PREFIX", "/user/anna/")
    for finding in (doctor.browser(), doctor.port()):
        assert finding.ok is True and "class's server" in finding.found


@pytest.mark.parametrize("started", ["nbgrader.apps.nbgraderapp", "jupyterlab.labapp"])
def test_what_is_started_compiles_no_grammars_of_addresses(started: str) -> None:
    """From jsonschema 4.25 on each of them would: half of the work of its start."""
    code = f"""
import sys, jupyter_events.logger, jsonschema, {started}
form = jsonschema.FormatChecker()
told = [form.conforms(text, "date") for text in ("2026-03-02", "no date")]
print(bool(sys.modules.get("lark")), *told)
"""
    command = [sys.executable, "-P", "-c", code]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stdout == "False True False\n"
