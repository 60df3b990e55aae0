"""A site in Chromium: on a telephone, by keys alone, closed in the middle, with endless loops."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page

from tests.checks.site.accessible import fetch_axe, serious
from tests.checks.site.tab import (
    IDLE,
    SEEN,
    STATE,
    browsing,
    cell_of,
    kept,
    notebook,
    open_lesson,
    put_back,
    run_all,
    served,
)

pytestmark = [pytest.mark.npm, pytest.mark.chromium, pytest.mark.long]
FILE = "2-drive.ipynb"
SLIDER = "from robotsim.show.pulse_slider import slide_pulse\nslide_pulse(1500)"
LOOPS = "%%program main.py\nn = 0\nwhile True:\n    n += 1\n"
NEVER = "%%program main.py\nmax(range(2 ** 30))\n"
RUN = 'run("main.py", seconds=5)'
PICTURE = "img.quay-picture"


@pytest.fixture
def place(site: Path, chromium: str, tmp_path: Path) -> Iterator[tuple[BrowserContext, str]]:
    """A browser, and the address of a site."""
    outside: list[str] = []
    with (
        served(site) as address,
        browsing(chromium, address, tmp_path / "profile", outside) as context,
    ):
        yield context, address
    assert outside == []


def opened(place: tuple[BrowserContext, str], folder: Path, *cells: str) -> Page:
    """Open a notebook with these cells."""
    context, address = place
    file = folder / FILE
    file.write_bytes(notebook(cells))
    put_back(context, address, file)
    return open_lesson(context, address, FILE)


def test_axe_has_no_serious_finding_on_our_pages_and_in_what_a_cell_shows(
    place: tuple[BrowserContext, str], tmp_path: Path
) -> None:
    axe = fetch_axe(tmp_path / "axe")
    context, address = place
    page = context.new_page()
    for name in ("index.html", "about.html", "read/2-drive.html"):
        page.goto(address + name)
        assert serious(page, axe) == []
    check = 'check("drive.start")'
    page = opened(place, tmp_path, LOOPS, RUN, SLIDER, check)
    run_all(page)
    page.wait_for_selector(".quay-controls")
    assert serious(page, axe, ".jp-NotebookPanel .jp-OutputArea") == []


def test_on_a_telephone_pages_and_lessons_are_as_wide_as_the_window(
    place: tuple[BrowserContext, str],
) -> None:
    context, address = place
    page = context.new_page()
    page.set_viewport_size({"width": 390, "height": 844})
    for name in ("index.html", "about.html", "read/2-drive.html"):
        page.goto(address + name)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, name
    text = page.locator("p", has_text="metre").first.bounding_box()
    assert text and text["width"] > 300, "a line of some 40 letters"


def test_by_keys_alone_a_lesson_is_opened_run_and_its_slider_moved(
    place: tuple[BrowserContext, str], tmp_path: Path
) -> None:
    context, address = place
    opened(place, tmp_path, SLIDER).close()
    home = context.new_page()
    home.goto(address)
    for _ in range(40):
        home.keyboard.press("Tab")
        if home.evaluate("document.activeElement.textContent") == "Under way":
            break
    with context.expect_page() as coming:
        home.keyboard.press("Enter")
    page = coming.value
    page.wait_for_selector(IDLE, timeout=180_000)
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.matches('.jp-Cell, .cm-content')"):
            break
    page.keyboard.press("Shift+Enter")
    page.wait_for_selector(".quay-controls", timeout=60_000)
    before = page.locator(PICTURE).get_attribute("alt")
    page.keyboard.press("Escape")
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.type") == "range":
            break
    page.keyboard.press("ArrowRight")
    moved = "(before) => document.querySelector('img.quay-picture').alt !== before"
    page.wait_for_function(moved, arg=before, timeout=20_000)
    assert "1510" in str(page.locator(PICTURE).get_attribute("alt"))


def test_the_kernel_has_been_woken_with_the_page_and_can_be_restarted(
    place: tuple[BrowserContext, str], tmp_path: Path
) -> None:
    """The service worker hands on what a kernel reads of the learner's files, and no other."""
    context, address = place
    home = context.new_page()
    home.goto(address)
    home.fill("#serial", "12")
    home.click("#tug button")
    home.wait_for_selector("#said >> text=number 12")
    handed: list[str] = []
    context.on("response", lambda got: handed.append(got.url) if got.from_service_worker else None)
    card = "from robotsim.notebook import own_serial\n3 * own_serial() + 6"
    told: list[str] = []
    context.on("console", lambda said: told.append(said.text))
    page = opened(place, tmp_path, card)
    assert not [text for text in told if "unregister" in text or "NOT be synced" in text]
    assert not [url for url in handed if "/api/" not in url]
    assert [worker.url.rpartition("/")[2] for worker in page.workers] == ["ahead.mjs"]
    page.get_by_role("menuitem", name="Kernel", exact=True).click()
    page.get_by_role("menuitem", name="Restart Kernel and Run All Cells").first.click()
    page.get_by_role("button", name="Confirm").click()
    page.wait_for_selector(f"{SEEN} .jp-OutputArea >> text=42", timeout=120_000)
    assert [worker.url for worker in page.workers if "/comlink.worker." in worker.url]


def test_an_endless_program_ends_with_its_line_and_the_kernel_lives(
    place: tuple[BrowserContext, str], tmp_path: Path
) -> None:
    page = opened(place, tmp_path, LOOPS, RUN, "6 * 7")
    run_all(page)
    told = cell_of(page, 1).inner_text()
    assert "main.py" in told and re.search(r"line [34]", told), told
    assert "42" in cell_of(page, 2).inner_text()


def test_what_the_count_cannot_see_costs_the_kernel_never_the_work(
    place: tuple[BrowserContext, str], tmp_path: Path
) -> None:
    """Closed in the middle of a call that never ends, and opened again."""
    context, address = place
    page = opened(place, tmp_path, NEVER, RUN, "6 * 7")
    page.locator(f"{SEEN} .jp-Cell").first.click()
    page.keyboard.press("Shift+Enter")
    page.keyboard.press("Shift+Enter")
    page.wait_for_selector(f"{STATE}[data-status=busy]")
    page.locator(f"{SEEN} .jp-Cell").last.locator(".cm-content").click()
    page.keyboard.type(" + 1")
    wanted = time.monotonic() + 60
    while "6 * 7 + 1" not in str(kept(page, FILE)) and time.monotonic() < wanted:
        page.wait_for_timeout(1000)  # it is saved by itself
    page.close()
    # The first kernel that comes by may end without a word: nothing of it is lost by that.
    open_lesson(context, address, "1-lamps.ipynb").close()
    page = open_lesson(context, address, FILE)
    page.locator(f"{SEEN} .jp-Cell").last.click()
    page.keyboard.press("Escape")
    page.keyboard.press("Control+Enter")
    page.wait_for_selector(f"{SEEN} >> text=while this cell was running", timeout=60_000)
    told = page.locator(SEEN).inner_text()
    assert f"running: {RUN}" in told and "6 * 7 + 1" in told
    page.keyboard.press("Control+Enter")
    page.wait_for_selector(f"{SEEN} >> text=[2]:", timeout=60_000)
    assert "while this cell was running" not in page.locator(SEEN).inner_text()
