"""Home and the kit's own kernel in the JupyterLab that `python3 lessons` starts, in Chromium."""

from __future__ import annotations

import contextlib
import json
import os
import re
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from checks.course.release import release

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[2]
SERVE = """
import os, pathlib, runpy, sys, types
launcher = runpy.run_path(sys.argv[1])
kit = types.SimpleNamespace(python=sys.executable, variables=lambda: dict(os.environ))
options = types.SimpleNamespace(folder=pathlib.Path(sys.argv[2]), port=int(sys.argv[3]),
                                no_browser=True)
sys.exit(launcher["serve"](kit, options, "/quayside"))
"""
CELL = ".jp-NotebookPanel:visible .jp-Cell:visible"
"""JupyterLab opens again what was open before; only one notebook is to be seen."""
PROGRAM = "%%program side.py\nprint('still here')"


def write_lesson(folder: Path) -> None:
    """Put three cells of our own into the place of a lesson, for a quick and a certain run."""
    cells = [
        {"cell_type": "code", "source": source, "metadata": {}, "outputs": [],
         "execution_count": None, "id": f"cell-{k}"}
        for k, source in enumerate([PROGRAM, "run('side.py', seconds=0.2)", "check('lamps.side')"])
    ]  # fmt: skip
    cells[-1]["metadata"] = {"nbgrader": {"grade": True, "points": 10, "grade_id": "side"}}
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    whole = {"cells": cells, "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}
    (folder / "1-lamps.ipynb").write_text(json.dumps(whole), encoding="utf-8")


@pytest.fixture(scope="module")
def mine(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("home") / "mine"
    list(release(folder))
    write_lesson(folder)
    return folder


@pytest.fixture(scope="module")
def address(mine: Path) -> Iterator[str]:
    """The address of the home page, with its token."""
    around = dict(os.environ)
    for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "IPYTHONDIR"):
        around[name] = str(mine.parent / name)
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        port = str(door.getsockname()[1])
    launcher = str(ROOT / "lessons" / "__main__.py")
    log = mine.parent / "log"
    with log.open("w") as said, subprocess.Popen(
        [sys.executable, "-c", SERVE, launcher, str(mine), port],
        env=around, stdout=said, stderr=said,
    ) as process:  # fmt: skip
        found = None
        while found is None and process.poll() is None:
            found = re.search(rf"http://127\.0\.0\.1:{port}/quayside\?token=\w+", log.read_text())
        assert found is not None, log.read_text()
        for _ in range(300):  # the server tells its address a moment before it listens there
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", int(port))):
                break
            time.sleep(0.1)
        yield found[0]
        process.terminate()


def test_yesterdays_address_says_how_to_get_todays_and_takes_its_token(
    chrome: Browser, address: str
) -> None:
    page = chrome.new_page()
    page.goto(address.partition("?")[0])
    page.fill("input[name=password]", "yesterday")
    page.click("button")
    page.wait_for_selector("[role=status] >> text=does not open it")
    page.fill("input[name=password]", address.partition("token=")[2])
    page.click("button")
    page.wait_for_selector("h1 >> text=Quayside")
    assert page.url == address.partition("?")[0]
    page.close()


@pytest.fixture
def home(chrome: Browser, address: str) -> Iterator[Page]:
    page = chrome.new_page(viewport={"width": 1280, "height": 900})
    page.goto(address)
    yield page
    page.close()


def run_all(page: Page) -> None:
    page.wait_for_selector(CELL, timeout=90_000)
    page.wait_for_selector(".jp-mod-idle, [data-status=idle], .jp-NotebookKernelStatus",
                           state="attached", timeout=90_000)  # fmt: skip
    page.wait_for_timeout(4000)  # until its menus are there
    page.locator(CELL).first.focus()  # and no click: a list that scrolls hides its first cell
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells").first.click()


def test_nobody_without_the_token_sees_or_does_anything(address: str) -> None:
    base = address.partition("/quayside")[0]
    for place in ("", "/hand-in", "/summary", "/reference/tug"):
        with urllib.request.urlopen(f"{base}/quayside{place}", timeout=30) as answer:
            assert "/login" in answer.url, place
            told = answer.read().decode()
            assert "Type <code>python3 lessons</code> again" in told
            assert "authentication" not in told, "nothing of the server's own"
    for place in ("/anew", "/tug"):
        with pytest.raises(urllib.error.HTTPError, match="403"):
            urllib.request.urlopen(f"{base}/quayside{place}", b"serial=3", timeout=30)


def test_a_lesson_runs_from_home_without_a_first_cell_and_home_then_shows_its_points(
    home: Page, mine: Path
) -> None:
    with home.expect_popup() as opened:
        home.get_by_role("link", name="Lamps", exact=True).click()
    lab = opened.value
    run_all(lab)
    lab.wait_for_selector("text=side.py, put on the board", timeout=90_000)
    lab.wait_for_selector("text=Running lights", timeout=90_000)
    assert (mine / "my-board" / "1-lamps" / "side.py").read_text() == "print('still here')\n"
    lab.keyboard.press("Control+s")
    lab.wait_for_timeout(1500)
    home.reload()
    assert "Go on here" in home.locator(".button.first").inner_text()
    home.get_by_role("button", name="Get the file to hand in").click()
    assert "Lamps: its cells are of side" in home.get_by_role("status").inner_text()
    with home.expect_download() as given:
        home.get_by_role("button", name="Get the file all the same").click()
    assert "1-lamps.ipynb" in zipfile.ZipFile(given.value.path()).namelist()
    lab.close()


def test_the_link_at_a_lessons_end_opens_the_next_one(home: Page, address: str) -> None:
    home.goto(f"{address.partition('/quayside')[0]}/lab/tree/0-start.ipynb")
    home.wait_for_selector(CELL, timeout=90_000)
    link = home.locator(".jp-NotebookPanel:visible a", has_text="Lamps").last
    for _ in range(40):  # a long notebook shows its last cells when one comes to them
        if link.count() and link.is_visible():
            break
        home.locator(".jp-NotebookPanel:visible .jp-WindowedPanel-outer").first.evaluate(
            "box => box.scrollTop += 4000"
        )
        home.wait_for_timeout(300)
    link.click()
    home.wait_for_selector(
        ".lm-DockPanel-tabBar .lm-mod-current:has-text('1-lamps.ipynb')", timeout=30_000
    )


@pytest.mark.parametrize(
    ("place", "cell"), [("lab/tree", CELL), ("notebooks", ".jp-Notebook .jp-Cell")],
    ids=["lab", "notebook"],
)  # fmt: skip
def test_a_lesson_asks_the_server_for_nothing_that_is_not_there(
    home: Page, address: str, place: str, cell: str
) -> None:
    """Such as a language server, which the kit has none of and a class's server leaves out."""
    asked: list[tuple[int, str]] = []
    home.on("response", lambda answer: asked.append((answer.status, answer.url)))
    home.goto(f"{address.partition('/quayside')[0]}/{place}/0-start.ipynb")
    home.wait_for_selector(cell, timeout=90_000)
    home.wait_for_timeout(4000)
    assert len(asked) > 20 and not [one for one in asked if one[0] >= 400]
    assert not [url for _, url in asked if "/lsp/" in url]


def test_the_playground_opens_from_home(home: Page, mine: Path) -> None:
    home.get_by_role("link", name="Playground").click()
    home.wait_for_selector(CELL, timeout=90_000)
    assert "A table of your own" in (mine / "playground.ipynb").read_text(encoding="utf-8")


def test_a_lesson_is_begun_anew_and_the_tugs_number_changed(home: Page, mine: Path) -> None:
    part = home.get_by_role("region", name="Lamps", exact=True)
    with home.expect_popup() as opened:
        part.get_by_role("link", name="Lamps", exact=True).click()
    run_all(opened.value)
    home.reload()
    part.get_by_text("What it is about").click()
    part.get_by_role("button", name="Begin Lamps anew").click()
    told = home.get_by_role("status").inner_text()
    assert "is as it was handed out" in told and "still open in JupyterLab: close it there" in told
    places = r"is in earlier-work/1-lamps .*ipynb and earlier-work/1-lamps .*programs"
    assert re.search(places, told)
    opened.value.close()
    assert PROGRAM.split("\n")[1] not in (mine / "1-lamps.ipynb").read_text(encoding="utf-8")
    (kept,) = (mine / "earlier-work").glob("1-lamps *.ipynb")
    assert "still here" in kept.read_text(encoding="utf-8")
    home.get_by_label("Its number").fill("23")
    home.get_by_role("button", name="Change it").click()
    assert json.loads((mine / "tug.json").read_text()) == {"serial": 23}
    home.get_by_label("Its number").fill("-1")
    home.get_by_role("button", name="Change it").click()
    assert "whole number from 0" in home.get_by_role("status").inner_text()


def test_a_number_that_was_typed_counts_without_its_button(home: Page, mine: Path) -> None:
    def noted(number: int) -> bool:
        return json.loads((mine / "tug.json").read_text()) == {"serial": number}

    field = home.get_by_label("Its number")
    field.fill("41")
    with home.expect_popup() as opened:
        home.get_by_role("link", name="Lamps", exact=True).click()
    home.get_by_text("Your tug is number 41 from the next run on.").wait_for()
    opened.value.close()
    assert noted(41)
    field.fill("no number")
    field.press("Tab")
    home.get_by_text("whole number from 0").wait_for()
    assert noted(41)
    field.fill("42")
    home.evaluate("location = location.pathname + '/reference/tug'")  # with the field in focus
    home.wait_for_url("**/reference/tug")
    for _ in range(100):
        if noted(42):
            break
        home.wait_for_timeout(100)
    assert noted(42)


@pytest.mark.parametrize("place", ["reference/tug", "reference/board", "summary"])
def test_what_is_printed_fits_one_sheet(home: Page, address: str, place: str) -> None:
    home.goto(f"{address.partition('?')[0]}/{place}")
    printed = home.pdf(prefer_css_page_size=True)
    assert printed.count(b"/Type /Page\n") == 1
    assert home.get_by_role("link", name="Home").get_attribute("href") == "/quayside"
