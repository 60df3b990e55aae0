"""The whole course in a browser's tab: in Chromium, with nothing outside the site to be had."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import subprocess
import zipfile
from pathlib import Path
from typing import Any

import nbformat
import pytest

from checks import check
from checks.course.classroom import open_class
from checks.course.collect import collect
from checks.course.copies import learner_copy
from checks.course.lessons import find_lessons, pick_lessons
from checks.course.open_course import OpenCourse
from checks.course.scores import scores
from checks.home.deeds import KEPT
from checks.marking.marker import mark
from checks.marking.pool import LocalPool
from checks.site.build import STORE
from checks.site.pack import packed, unpacked
from robotsim import Whose
from tests.checks.site.recordings import marks
from tests.checks.site.tab import browsing, notebook, open_lesson, run_all, served, solved_copy
from tests.checks.site.test_saved import checked

pytestmark = [pytest.mark.npm, pytest.mark.chromium, pytest.mark.slow]
HERE = Path(__file__).parent
PROGRAMS = HERE.parents[1] / "programs"
CHOSEN = {
    "lamps.signal": "right_timer.py", "drive.straight": "right_class.py",
    "line.follow": "right_class.py", "radio.helm": "right_asyncio.py",
    "powerup.presses": "right_irq.py", "arm.knock": "right_asyncio.py",
}  # fmt: skip
LESSON, FILE = "lamps", "1-lamps.ipynb"


def in_the_room(site: Path, script: str, folder: Path, last: str) -> Any:
    """Run a script beside this file in the site's interpreters; give what it comes to."""
    (room,) = site.glob("quayside-*")
    command = ["node", *map(str, (HERE / "room.mjs", room, HERE / script, folder)), last]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    return json.loads(done.stdout.splitlines()[-1])


def test_recordings_in_the_tab_are_the_desks_to_the_bit(site: Path, tmp_path: Path) -> None:
    """In Node.js, which npm needs: the same files as a tab's worker loads, without the browser."""
    for task, name in CHOSEN.items():
        shutil.copy(PROGRAMS.joinpath(*task.split("."), name), tmp_path / f"{task}-{name}")
    shutil.copy(PROGRAMS / "speed" / "follow.py", tmp_path / "follow.py")
    last = "[marks(Path()), paces(Path('follow.py').read_text('utf-8'))]"
    there, paces = in_the_room(site, "recordings.py", tmp_path, last)
    print("in the tab's interpreters, without a browser:", paces)
    assert there == marks(tmp_path)


def work(site: Path, chromium: str, folder: Path, lessons: list[str]) -> tuple[Path, list[str]]:
    """Put solved lessons back into a tab, run them there, save them and hand them in.

    Returns:
        The file that was handed in, and what was asked for outside the site.
    """
    files = [folder / lesson.file for lesson in pick_lessons(lessons)]
    for lesson, file in zip(lessons, files, strict=True):
        file.write_bytes(solved_copy(lesson))
    outside: list[str] = []
    with (
        served(site) as address,
        browsing(chromium, address, folder / "profile", outside) as context,
    ):
        home = context.new_page()
        home.goto(address)
        home.set_input_files("#back", files)
        home.wait_for_selector("text=Taken back: 1-lamps.ipynb")
        for lesson, file in zip(lessons, files, strict=True):
            page = open_lesson(context, address, file.name)
            run_all(page)
            page.keyboard.press("Control+s")
            page.wait_for_timeout(2000)
            page.close()
            home.reload()
            home.wait_for_selector(f"#far-{lesson} >> text=points,")
        with home.expect_download() as coming:
            home.click("#hand-in")
        coming.value.save_as(folder / "work.zip")
    return folder / "work.zip", outside


@pytest.fixture(scope="module")
def solved_work(
    site: Path, chromium: str, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, list[str]]:
    """What a learner hands in who solved a lesson in a tab, and what was asked for elsewhere."""
    return work(site, chromium, tmp_path_factory.mktemp("learner"), [LESSON])


def cells(pack: Path) -> list[nbformat.NotebookNode]:
    with zipfile.ZipFile(pack) as work:
        return list(nbformat.reads(work.read(FILE).decode(), as_version=4).cells)


def test_a_lesson_solved_in_a_tab_has_the_points_of_a_computer(
    solved_work: tuple[Path, list[str]],
) -> None:
    checked = 0
    for cell in cells(solved_work[0]):
        found = re.search(r'check\("([a-z.]+)"\)', cell.source)
        if cell.cell_type != "code" or not found or not cell.metadata.get("nbgrader"):
            continue
        (result,) = (o for o in cell.outputs if o.output_type == "execute_result")
        text = result.data["text/plain"]
        files = {m[1]: m[2] for c in cells(solved_work[0])
                 if (m := re.match(r"%%program (\w+\.py)\n(.*)", c.source, re.S))}  # fmt: skip
        card = check(found[1], files=files, whose=Whose.KIT)
        shown = re.sub(" data-judged='[^']+'", "", result.data["text/html"])
        assert (text, shown) == (repr(card), card._repr_html_())
        assert shown != result.data["text/html"], "home learns of it what was judged"
        checked += 1
    assert checked == 3


def test_nothing_outside_the_site_was_asked_for(solved_work: tuple[Path, list[str]]) -> None:
    assert solved_work[1] == []


def test_a_run_is_shown_as_a_replay_and_a_slider_has_its_picture(
    solved_work: tuple[Path, list[str]],
) -> None:
    shown = json.dumps([cell.get("outputs", []) for cell in cells(solved_work[0])])
    assert "quay-replay" in shown and "data:image/svg+xml" in shown
    assert '"output_type": "error"' not in shown


SPOIL = """([store, file]) => new Promise((done) => {
  const asked = indexedDB.open(store);
  asked.onsuccess = () => {
    const files = asked.result.transaction("files", "readwrite").objectStore("files");
    files.put({ path: file, type: "file", format: "text", content: "{" }, file).onsuccess = () => {
      asked.result.close();
      done();
    };
  };
})"""


def test_the_first_page_loses_nothing_and_says_what_it_cannot_read(
    site: Path, chromium: str, tmp_path: Path
) -> None:
    work, bad, damaged = tmp_path / FILE, tmp_path / "bad.zip", tmp_path / "damaged.zip"
    made = nbformat.reads(notebook(["6 * 7"]).decode(), as_version=4)
    made.cells[0].execution_count = 1
    work.write_text(nbformat.writes(made))
    bad.write_bytes(b"no zip")
    with zipfile.ZipFile(damaged, "w") as pack:
        pack.writestr("tug.json", '{"serial": 3}')
        pack.writestr(FILE, "{")
    with (
        served(site) as address,
        browsing(chromium, address, tmp_path / "profile", []) as context,
    ):
        home = context.new_page()
        home.goto(address)

        def tug(number: str, words: str) -> str:
            home.fill("#serial", number)
            home.click("#tug button")
            home.wait_for_selector(f"#said >> text={words}")
            return home.locator("#said").inner_text()

        tug("x", "whole number")
        assert "be read" not in tug("12", "Your tug is number 12")
        home.evaluate(SPOIL, [STORE, "tug.json"])
        home.reload()
        home.wait_for_selector("#card >> text=tug.json cannot be read")
        assert f"could not be read; it is {KEPT}/tug" in tug("5", "Your tug is number 5")
        home.fill("#serial", "6")  # what stands in a field counts, its button pressed or not
        home.fill("#name", "Bo")
        home.click("h1")
        home.wait_for_selector("#said >> text=number 6 from the next run on, also in a lesson")
        home.reload()
        home.wait_for_selector("#card:text-is('')", state="attached")
        home.wait_for_function("document.getElementById('serial').value === '6'")
        assert home.input_value("#name") == "Bo"
        tug("10000", "whole number from 0 to 9999")
        home.focus("#hand-in")  # the page shows anew how things stand, and leaves what was refused
        home.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
        home.wait_for_timeout(500)
        assert home.input_value("#serial") == "10000"
        tug("5", "Your tug is number 5")
        for file, words in ((bad, "no zip file"), (damaged, "Nothing was changed"),
                            (work, f"Taken back: {FILE}.")):  # fmt: skip
            home.set_input_files("#back", file)
            home.wait_for_selector(f"#said >> text={words}")
        home.fill("#name", "Ann Lee")
        with home.expect_download() as coming:
            home.click("#hand-in")
        assert coming.value.suggested_filename.startswith("Ann_Lee-quayside-work-20")
        back = tmp_path / f"{coming.value.suggested_filename[:-4]} (1).zip"  # taken home twice
        coming.value.save_as(back)
    with (
        served(site) as address,
        browsing(chromium, address, tmp_path / "another", []) as context,
    ):
        home = context.new_page()
        home.goto(address)
        real = tmp_path / "real.zip"
        with zipfile.ZipFile(real, "w") as pack:  # of a real tug, which has no number
            pack.writestr("tug.json", '{"lamps": 8}')
        home.set_input_files("#back", real)
        home.wait_for_selector("#said >> text=Taken back: tug.json.")
        home.fill("#name", "Bo")
        home.set_input_files("#back", back)
        home.wait_for_selector(f"#said >> text=Taken back: {FILE}, your tug, number 5.")
        assert "Your name here is Ann_Lee now" in home.locator("#said").inner_text()
        assert "it was Bo" in home.locator("#said").inner_text()
        assert home.input_value("#serial") == "5" and home.input_value("#name") == "Ann_Lee"


def test_what_would_not_count_is_said_where_work_is_handed_in(
    site: Path, chromium: str, tmp_path: Path
) -> None:
    lamps, drive = (json.loads(learner_copy(one.notebook.read_bytes(), one))
                    for one in pick_lessons(["lamps", "drive"]))  # fmt: skip
    for told in (lamps, drive):
        next(c for c in told["cells"] if c["cell_type"] == "code")["execution_count"] = 1
    checked(drive, "drive.straight", "x = 1", "x = 2")
    files = [tmp_path / FILE, tmp_path / "2-drive.ipynb"]
    for file, told in zip(files, (lamps, drive), strict=True):
        file.write_text(json.dumps(told), encoding="utf-8")
    with (
        served(site) as address,
        browsing(chromium, address, tmp_path / "profile", []) as context,
    ):
        home = context.new_page()
        home.goto(address)
        home.set_input_files("#back", files)
        home.wait_for_selector(f"#said >> text=Taken back: {FILE}")
        changed = "straight.py is not as it was checked: run its cell, check again"
        home.wait_for_selector(f"#far-drive >> text={changed}")
        assert home.locator("#far-drive").inner_text().startswith("0 of ")
        with home.expect_download():
            home.click("#hand-in")
        home.wait_for_selector("#said >> text=But look: Lamps: nothing in it was changed. What")
        assert f"Under way: {changed}" in home.locator("#said").inner_text()


def test_what_a_page_has_not_says_so_and_ready_comes_to_an_end(site: Path, tmp_path: Path) -> None:
    told = in_the_room(site, "elsewhere.py", tmp_path, "asked()")
    ready = told.pop("ready")
    assert "lies in this browser" in told.pop("export")
    assert told.pop("named") == told["back"], "it is not fetched first, to be refused then"
    assert sorted(told) == ["back", "earlier", "join_room", "live", "take"]
    assert all("in a page" in words and "Try:" in words for words in told.values())
    assert "is ready for the board" in ready and "memory it needs is not tried" in ready


@pytest.mark.long
def test_with_a_full_distribution_its_matplotlib_is_there_from_the_start(
    site: Path, tmp_path: Path
) -> None:
    """A made-up one: the real one is not to be had from the registries."""
    (room,) = site.glob("quayside-*")
    drawn = tmp_path / "room"
    shutil.copytree(room, drawn / room.name)
    wheel = drawn / room.name / "matplotlib-9.9-py3-none-any.whl"
    with zipfile.ZipFile(wheel, "w") as pack:
        pack.writestr("matplotlib/__init__.py", "__version__ = 'made up'\n")
        pack.writestr("matplotlib-9.9.dist-info/METADATA", "Name: matplotlib\nVersion: 9.9\n")
        pack.writestr("matplotlib-9.9.dist-info/WHEEL", "Wheel-Version: 1.0\nTag: py3-none-any\n")
    entry = {"name": "matplotlib", "version": "9.9", "file_name": wheel.name, "depends": [],
             "sha256": hashlib.sha256(wheel.read_bytes()).hexdigest(), "imports": ["matplotlib"],
             "install_dir": "site", "package_type": "package"}  # fmt: skip
    place = wheel.with_name("pyodide-lock.json")
    lock = json.loads(place.read_text())
    place.write_text(json.dumps({**lock, "packages": {"matplotlib": entry}}))
    pack_file = wheel.with_name("kernel.pack")
    pack_file.write_bytes(packed(unpacked(pack_file.read_bytes())[0]))
    (tmp_path / "none").mkdir()
    found = in_the_room(drawn, "pictured.py", tmp_path / "none", "found()")
    assert found == ["made up", True]


@pytest.mark.long
def test_every_lesson_runs_from_top_to_bottom_in_a_tabs_kernel(site: Path, tmp_path: Path) -> None:
    for lesson in find_lessons():
        copy = learner_copy(lesson.notebook.read_bytes(), lesson)
        (tmp_path / lesson.file).write_bytes(copy)
    found = in_the_room(site, "cells.py", tmp_path, "await faults()")
    assert found == {lesson.file: [] for lesson in find_lessons()}


@pytest.mark.long
def test_two_lessons_solved_in_a_tab_are_collected_and_marked_with_the_points_they_showed(
    site: Path, chromium: str, tmp_path: Path
) -> None:
    pack, outside = work(site, chromium, tmp_path, ["lamps", "drive"])
    (tmp_path / "class.csv").write_text("id,first_name,last_name,serial\nann,Ann,Lee,7\n")
    list(open_class(tmp_path / "course", tmp_path / "class.csv", ids=["lamps", "drive"]))
    (tmp_path / "downloads").mkdir()
    shutil.copy(pack, tmp_path / "downloads" / "ann.zip")
    list(collect(tmp_path / "course", tmp_path / "downloads"))
    said = mark(tmp_path / "course", pool=LocalPool(unprotected=True))
    assert not said.for_you and outside == []
    marked = {s.cell: s.points for s in scores(OpenCourse(tmp_path / "course")) if not s.by_hand}
    shown = dict[str, float]()
    with zipfile.ZipFile(pack) as handed:
        for name in handed.namelist():
            for cell in nbformat.reads(handed.read(name).decode(), as_version=4).cells:
                marks = cell.metadata.get("nbgrader", {})
                if cell.cell_type == "code" and marks.get("grade"):
                    (result,) = (o for o in cell.outputs if o.output_type == "execute_result")
                    shown[marks["grade_id"]] = float(result.data["text/plain"])
    assert len(shown) == 7 and shown.items() <= marked.items()
