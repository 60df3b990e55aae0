"""The board outlives its kernel: files in the learner's folder, with history, and nowhere else."""

from __future__ import annotations

import json
import os
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from robotsim import KitError, UnknownNameError, versions
from robotsim.locker import BOARDS, MOST, Locker, ago, own_locker
from robotsim.notebook import FLASH, Flash, missing

LAB = {"JPY_SESSION_NAME": "unit 1/1-lamps.ipynb"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / BOARDS).mkdir()
    return tmp_path


@pytest.fixture
def locker(folder: Path) -> Locker:
    found = own_locker(folder, LAB)
    assert found is not None
    return found


@pytest.fixture
def flash(locker: Locker) -> Flash:
    made = Flash()
    made.keep_in(locker)
    return made


def save(locker: Locker, *cells: str, after_s: float = 5.0) -> None:
    """Save the notebook with these code cells, some time after the newest file was put in."""
    plain = {"cells": [{"cell_type": "code", "source": text.splitlines(True)} for text in cells]}
    locker.notebook.write_text(json.dumps(plain), encoding="utf-8")
    newest = max(path.stat().st_mtime for path in locker.folder.glob("*.py"))
    os.utime(locker.notebook, (newest + after_s, newest + after_s))


def test_a_file_is_a_readable_file_and_a_new_kernel_finds_it(flash: Flash, locker: Locker) -> None:
    flash.put("side.py", "print('α')\n")
    assert (locker.folder / "side.py").read_text(encoding="utf-8") == "print('α')\n"
    again = Flash()
    again.keep_in(locker)
    assert again == {"side.py": "print('α')\n"}
    (locker.folder / "side.py").unlink()
    again.refresh()
    assert again == {}


def test_a_file_that_is_taken_off_stays_off_and_its_text_is_kept(
    flash: Flash, locker: Locker, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    monkeypatch.setattr(versions, "FLASH", flash)
    flash.put("time.py", "BASE = 30\n")
    versions.remove("time.py")
    flash.refresh()
    assert flash == {} and "time.py is off the board" in capsys.readouterr().out
    assert [one.text for one in locker.versions("time.py")] == ["BASE = 30\n"]
    with pytest.raises(KitError, match="nothing to take off") as told:
        versions.remove("time.py")
    assert "%%program" not in str(told.value), "what hides a module is not to be put there again"
    versions.earlier("time.py")
    assert "1: from" in capsys.readouterr().out
    monkeypatch.setattr(versions, "_new_cell", lambda *_: None)
    versions.back("time.py")
    assert flash["time.py"] == "BASE = 30\n"


@pytest.mark.parametrize(
    "around",
    [{}, {"JPY_SESSION_NAME": "a console"}, LAB | {"NBGRADER_EXECUTION": "autograde"},
     LAB | {"NBGRADER_VALIDATING": "1"}],
)  # fmt: skip
def test_whatever_runs_without_a_person_has_no_locker(folder: Path, around: dict[str, str]) -> None:
    assert own_locker(folder, around) is None


def test_without_its_folder_nothing_is_kept_and_nothing_is_made(tmp_path: Path) -> None:
    assert own_locker(tmp_path, LAB) is None
    below = tmp_path / "deep"
    below.mkdir()
    (tmp_path / BOARDS).mkdir()
    assert own_locker(below, LAB) is None
    assert Flash().note("side.py") == ""


def test_each_notebook_has_its_own_so_that_a_check_finds_what_marking_will_find(
    folder: Path, flash: Flash
) -> None:
    flash.put("calibrate.py", "WHITE = 3\n")
    other = Flash()
    other.keep_in(own_locker(folder, {"JPY_SESSION_NAME": "8-harbour.ipynb"}))
    assert other == {}


def test_what_was_before_is_kept_in_order_and_the_same_text_only_once(
    flash: Flash, locker: Locker
) -> None:
    for text in ("a = 1\n", "a = 2\n", "a = 2\n", "a = 3\n"):
        flash.put("side.py", text)
    assert [one.text for one in locker.versions("side.py")] == ["a = 3\n", "a = 2\n", "a = 1\n"]
    for number in range(MOST + 5):
        flash.put("many.py", f"{number}\n")
    kept = locker.versions("many.py")
    assert len(kept) == MOST + 1 and kept[0].text == f"{MOST + 4}\n" and kept[-1].text == "4\n"


def test_a_run_says_since_when_and_warns_where_the_cell_has_changed(
    flash: Flash, locker: Locker
) -> None:
    flash.put("side.py", "a = 1\n")
    assert flash.note("side.py") == "side.py, put on the board a moment ago."
    save(locker, "\n%%program side.py\na = 1")
    assert "changed" not in flash.note("side.py")
    save(locker, "%%program side.py\na = 2", "x = 3")
    assert "its cell has been changed since" in flash.note("side.py")
    save(locker, "%%program side.py\na = 2", after_s=-5.0)
    assert "changed" not in flash.note("side.py"), "saved before: nobody knows"
    save(locker, "x = 3")
    assert "would not be handed in" in flash.note("side.py")
    locker.notebook.write_text("{", encoding="utf-8")
    assert flash.note("side.py") == "side.py, put on the board a moment ago."


def test_what_a_program_imports_is_looked_at_too(flash: Flash, locker: Locker) -> None:
    flash.put("eyes.py", "WHITE = 3\n")
    flash.put("side.py", "import eyes\n")
    save(locker, "%%program side.py\nimport eyes", "%%program eyes.py\nWHITE = 4")
    assert "eyes.py: its cell has been changed since" in flash.note("side.py")


def test_a_folder_that_cannot_be_written_to_costs_a_line_and_not_the_program(
    flash: Flash, locker: Locker
) -> None:
    locker.folder.write_text("in the way", encoding="utf-8")
    told = flash.put("side.py", "a = 1\n")
    assert told.startswith("side.py is on the board (1 line).\nIt could not be kept")
    assert flash["side.py"] == "a = 1\n"


def test_how_long_ago_is_said_as_people_do() -> None:
    now = datetime(2026, 3, 2, 9, 30)
    cases = {
        datetime(2026, 3, 2, 9, 29, 30): "a moment ago",
        datetime(2026, 3, 2, 9, 28): "2 minutes ago",
        datetime(2026, 3, 2, 8, 20): "1 hour ago",
        datetime(2026, 3, 1, 17, 3): "yesterday at 17:03",
        datetime(2026, 2, 27, 8, 0): "on 27 February at 08:00",
    }
    for when, words in cases.items():
        assert ago(when.timestamp(), now.timestamp()) == words


def test_an_empty_program_is_told_so_and_a_missing_one_names_its_cell() -> None:
    assert "but empty" in Flash().put("main.py", "\n")
    assert "begins with `%%program side.py`" in missing("side.py", {"drive.py": ""}).hint
    assert "did you mean 'drive.py'" in missing("drvie.py", {"drive.py": ""}).hint


# -- going back, and taking over -------------------------------------------------


@pytest.fixture
def new_cells(monkeypatch: pytest.MonkeyPatch, locker: Locker) -> Any:
    """The cells that are put into the notebook, whose board is the usual one for a while."""
    cells: list[str] = []
    monkeypatch.setattr(
        versions, "_new_cell", lambda name, text: cells.append(f"{name}: {text}")
    )
    FLASH.keep_in(locker)
    yield cells
    FLASH.keep_in(None)
    FLASH.clear()


def test_going_back_is_one_call_and_loses_nothing(new_cells: list[str], locker: Locker) -> None:
    for text in ("a = 1\n", "a = 2\n"):
        FLASH.put("side.py", text)
    versions.back("side.py")
    assert FLASH["side.py"] == "a = 1\n"
    assert new_cells == ["side.py: a = 1\n"]
    assert [one.text for one in locker.versions("side.py")] == ["a = 1\n", "a = 2\n", "a = 1\n"]
    for steps in (0, 3, "1"):
        with pytest.raises(KitError, match="2 earlier texts, and none .* back"):
            versions.back("side.py", steps)  # type: ignore[arg-type]
    with pytest.raises(UnknownNameError):
        versions.earlier("sidle.py")


def test_what_was_put_on_the_board_once_has_nothing_to_go_back_to(new_cells: list[str]) -> None:
    FLASH.put("side.py", "a = 1\n")
    with pytest.raises(KitError, match="one text only: there is nothing to go back to"):
        versions.back("side.py")
    FLASH.put("side.py", "a = 2\n")
    with pytest.raises(KitError, match=r"1 earlier text, and none 2 back[^T]*Try: .* numbers: 1\."):
        versions.back("side.py", 2)


def test_a_program_of_another_notebook_comes_as_a_cell(new_cells: list[str], folder: Path) -> None:
    other = Flash()
    other.keep_in(own_locker(folder, {"JPY_SESSION_NAME": "4-line.ipynb"}))
    other.put("calibrate.py", "WHITE = 3\n")
    versions.take("calibrate.py", "line")
    assert new_cells == ["calibrate.py: WHITE = 3\n"]
    assert "calibrate.py" not in FLASH, "it is on the board when its cell has run"
    for program, notebook in (("calibrate.py", "lime"), ("calibre.py", "4-line")):
        with pytest.raises(UnknownNameError):
            versions.take(program, notebook)


def test_it_says_why_nothing_is_kept_and_what_is_there_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """To make the folder was the advice also where it lay there, and another reason was at work."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("JPY_SESSION_NAME", raising=False)

    def said() -> KitError:
        with pytest.raises(KitError) as told:
            versions.back("side.py")
        return told.value

    (tmp_path / BOARDS / "1-lamps").mkdir(parents=True)
    assert "says which notebook this is" in said().what and f"{BOARDS}: 1-lamps" in said().what
    assert "make a folder" not in said().hint
    monkeypatch.setenv("JPY_SESSION_NAME", "1-lamps.ipynb")
    assert "restart" in said().hint and "make a folder" not in said().hint
    monkeypatch.chdir(tmp_path / BOARDS)
    assert f"no folder {BOARDS}" in said().what and "make a folder" in said().hint
    monkeypatch.setenv("NBGRADER_EXECUTION", "autograde")
    assert "nbgrader" in said().what


def test_where_nothing_is_kept_it_says_how_to_have_it_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("JPY_SESSION_NAME", "1-lamps.ipynb")
    with pytest.raises(KitError, match=BOARDS):
        versions.back("side.py")
