"""What a site is made of, and what is said where something of it is missing; no browser here."""

from __future__ import annotations

import hashlib
import json
import subprocess
import urllib.request
from pathlib import Path
from types import SimpleNamespace

import pytest

from checks.commands import main
from checks.course.copies import learner_copy
from checks.course.lessons import find_lessons
from checks.course.regions import solved
from checks.home.layout import document
from checks.site import lessons
from checks.site.build import build_site
from checks.site.distribution import with_pictures
from checks.site.licences import licence_rows, licence_texts
from checks.site.npm import PINS, fetch_packages, files_of
from checks.site.pack import freeze, packed, unpacked
from checks.site.packages import KIT, kernel_files, kernel_packages
from checks.site.tab.interrupted import watch_cells
from robotsim import KitError
from tests.checks.site.tab import served


def modules(folder: Path) -> Path:
    """Give a made-up node_modules folder with the pinned versions in it."""
    for name, pin in PINS.items():
        (folder / name).mkdir(parents=True)
        (folder / name / "package.json").write_text(json.dumps({"version": pin.version}))
    return folder


def test_without_npm_it_is_said_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert main(["site", str(tmp_path / "made")]) == 1
    told = capsys.readouterr().err
    assert "npm is not installed" in told and "apt install npm" in told and "--packages" in told
    assert not (tmp_path / "made").exists()


def test_npm_is_held_to_the_checksums(npm: str, tmp_path: Path, monkeypatch) -> None:
    """With the checksum of another archive npm refuses what it is given, or has not got it."""
    other = PINS["pyodide"].integrity
    monkeypatch.setitem(PINS, "fflate", PINS["fflate"].__class__(
        PINS["fflate"].version, other, "MIT", "", ()))  # fmt: skip
    with pytest.raises(KitError, match="npm could not fetch"):
        fetch_packages(tmp_path / "npm")


def test_a_package_of_another_version_is_refused(tmp_path: Path) -> None:
    there = modules(tmp_path)
    assert "pyodide.mjs" in files_of(there)
    (there / "fflate" / "package.json").write_text('{"version": "0.1.0"}')
    with pytest.raises(KitError, match="fflate is 0.1.0"):
        files_of(there)
    (there / "fflate" / "package.json").unlink()
    with pytest.raises(KitError, match="fflate is not there"):
        files_of(there)


def test_a_folder_with_something_else_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "thesis.txt").write_text("years of work")
    with pytest.raises(KitError, match="something else"):
        list(build_site(tmp_path))
    assert (tmp_path / "thesis.txt").read_text() == "years of work"


def test_the_pack_holds_the_kit_and_no_solution() -> None:
    files = kernel_files()
    names, whole = files.keys(), b"".join(files.values())
    assert {"robotsim/board/shims/machine.py", "checks/judge.py", "IPython/__init__.py",
            "pyodide_kernel/__init__.py", "checks/site/tab/start.py"} <= names  # fmt: skip
    assert not [n for n in names if n.startswith(("tests", "lessons", "checks/marking/"))]
    assert not [n for n in names if n.endswith((".so", ".pyd"))], "pure Python runs anywhere"
    for lesson in find_lessons():
        for cell in json.loads(lesson.notebook.read_text("utf-8"))["cells"]:
            text = "".join(cell["source"])
            if cell["metadata"].get("nbgrader", {}).get("solution") and len(solved(text)) > 200:
                assert solved(text).partition("\n")[2].strip().encode() not in whole


def test_a_pack_gives_back_what_was_put_in() -> None:
    files = {"a.py": b"x = 1\n", "b/empty.py": b"", "b/c.json": b"{}"}
    for memory in (b"", bytes(range(256)) * 5):
        pack = packed(files, memory)
        assert unpacked(pack) == (files, memory) and packed(files, memory) == pack


def test_without_node_it_is_said_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(KitError, match="Node.js is not installed"):
        freeze(tmp_path, {}, tmp_path)


def test_each_package_comes_with_its_licence(tmp_path: Path) -> None:
    assert {"ipython", "jedi", "paho-mqtt", "anywidget"} <= kernel_packages().keys()
    assert all(number and words for _, number, words in licence_rows())
    (modules(tmp_path) / "pyodide" / "LICENSE").write_text("Mozilla Public License")
    told = licence_texts(tmp_path)
    assert "Mozilla Public License" in told and told.count("MIT License") > 2
    for name in (*kernel_packages(), *PINS, "Quayside"):
        assert f"\n{name}" in told, name


@pytest.mark.parametrize("words", [*lessons._OTHERWISE, *lessons._REPLAYS])
def test_what_is_otherwise_in_a_tab_still_stands_in_a_lesson(words: tuple[str, str]) -> None:
    copies = (learner_copy(each.notebook.read_bytes(), each) for each in find_lessons())
    assert any(words[0] in copy.decode() for copy in copies)


def test_a_cell_that_was_cut_off_is_named_until_it_was_told_and_once_only(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """`before` is the page's own list: another notebook's kernel may have told of it meanwhile."""
    acts, noted = {}, []

    class Shell:
        class events:
            register = staticmethod(acts.__setitem__)

    class Runs:
        before = ["run('a.py')"]
        note = staticmethod(noted.append)

        @classmethod
        def told(cls) -> None:
            cls.before.clear()

    watch_cells(Shell, Runs)
    for source in ("\n  x = 1\ny = 2", "z = 3"):
        acts["pre_run_cell"](SimpleNamespace(raw_cell=source))
        acts["post_run_cell"](None)
    assert capsys.readouterr().out.count("while this cell was running: run('a.py')") == 1
    assert noted == ["x = 1", "", "z = 3", ""]
    Runs.before.append("late()")
    Runs.before.clear()
    acts["pre_run_cell"](SimpleNamespace(raw_cell="z"))
    assert capsys.readouterr().out == ""


def test_what_was_cut_off_waits_for_whichever_kernel_tells_of_it_first(npm: str) -> None:
    """Two notebooks are open, and one of them has told; a third is opened while a cell runs."""
    script, runs = Path(__file__).with_name("notes.mjs"), KIT / "tab" / "runs.mjs"
    said = subprocess.run(["node", str(script), str(runs)], capture_output=True, text=True)
    assert said.returncode == 0, said.stderr
    cut_off = ["run('a.py')"]
    assert json.loads(said.stdout) == {
        "seen": [[cut_off, cut_off], [[], []]], "left": ["y = 2"], "three": [],
    }  # fmt: skip


def test_the_list_of_packages_is_cut_down_to_what_is_there(tmp_path: Path) -> None:
    room, full = tmp_path / "room", tmp_path / "full"
    room.mkdir()
    full.mkdir()
    (full / "m.whl").write_bytes(b"drawing")
    entry = {"file_name": "m.whl", "sha256": hashlib.sha256(b"drawing").hexdigest(), "depends": []}
    lock = {"info": {}, "packages": {"matplotlib": entry, "pandas": {}}}

    def cut(folder: Path | None) -> dict[str, object]:
        (room / "pyodide-lock.json").write_text(json.dumps(lock))
        drawn = with_pictures(room, folder)
        kept = json.loads((room / "pyodide-lock.json").read_text())["packages"]
        assert drawn == bool(kept)
        return kept

    assert cut(None) == {}
    assert cut(full) == {"matplotlib": entry} and (room / "m.whl").read_bytes() == b"drawing"
    (full / "m.whl").write_bytes(b"something else")
    with pytest.raises(KitError, match="damaged"):
        cut(full)


def test_what_is_served_has_the_kinds_that_browsers_insist_on(tmp_path: Path) -> None:
    (tmp_path / "index.html").write_text("home")
    for name in ("a.wasm", "a.mjs"):
        (tmp_path / name).write_text("x")
    with served(tmp_path) as address:
        kinds = [urllib.request.urlopen(address + name).headers["Content-Type"]
                 for name in ("a.wasm", "a.mjs")]  # fmt: skip
    assert kinds == ["application/wasm", "text/javascript"]


def test_a_lesson_leads_to_no_other_that_the_site_has_not() -> None:
    drive, arm = (one for one in find_lessons() if one.id in ("drive", "arm"))
    alone = lessons.copy_for_a_tab(drive, [drive], drawn=True).decode()
    assert "The arm (not on this site)" in alone and f"({arm.file})" not in alone
    assert f"[The arm]({arm.file})" in lessons.copy_for_a_tab(drive, [drive, arm], True).decode()


def test_a_page_has_no_browser_ask_for_a_picture_that_is_not_there() -> None:
    """Where a page names none for its tab, a browser asks for /favicon.ico (HTML, 4.6.7.8)."""
    assert "<link rel='icon' href='data:,'>" in document("Home", "")
