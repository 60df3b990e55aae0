"""A site in Chromium, with nothing outside it to be had."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import nbformat
from playwright.sync_api import BrowserContext, Locator, Page, Route, sync_playwright

from checks.course.copies import learner_copy
from checks.course.lessons import pick_lessons
from checks.course.regions import solved
from checks.site.build import STORE
from checks.site.serve import open_server
from robotsim.notebook import program_cell

SEEN = ".jp-NotebookPanel:not(.lm-mod-hidden)"
"""The notebook that is in front; JupyterLab opens those of last time again, behind it."""
STATE = f"{SEEN} .jp-Notebook-ExecutionIndicator"
IDLE = f"{STATE}[data-status=idle]"


KEPT = """([store, file]) => new Promise((done, fault) => {
  const asked = indexedDB.open(store);
  asked.onerror = () => fault(asked.error);
  asked.onsuccess = () => {
    const found = asked.result.transaction("files").objectStore("files").get(file);
    found.onsuccess = () => { asked.result.close(); done(found.result?.content); };
  };
})"""


@contextmanager
def served(site: Path) -> Iterator[str]:
    """Serve a site; give its address."""
    with open_server(site) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://localhost:{server.server_address[1]}/"
        server.shutdown()


@contextmanager
def browsing(chromium: str, address: str, profile: Path, outside: list[str]) -> Iterator[
    BrowserContext
]:  # fmt: skip
    """Start a browser whose store outlasts it; what is asked of elsewhere is noted and refused."""

    def watch(route: Route) -> None:
        outside.append(route.request.url)
        route.abort()

    with sync_playwright() as play:
        context = play.chromium.launch_persistent_context(
            str(profile), executable_path=chromium, args=["--no-sandbox"],
            accept_downloads=True, viewport={"width": 1280, "height": 900},
        )  # fmt: skip
        context.route(lambda url: not url.startswith((address, "data:", "blob:")), watch)
        yield context
        context.close()


def solved_copy(lesson_id: str) -> bytes:
    """Give a learner's copy of a lesson with the lesson's own solutions written into its cells."""
    (lesson,) = pick_lessons([lesson_id])
    built = lesson.notebook.read_bytes()
    copy = nbformat.reads(learner_copy(built, lesson).decode(), as_version=4)
    texts = {}
    for cell in nbformat.reads(built.decode(), as_version=4).cells:
        if name := cell.metadata.get("nbgrader", {}).get("grade_id"):
            texts[name] = cell.source
    for cell in copy.cells:
        found = texts.get(cell.metadata.get("nbgrader", {}).get("grade_id", ""), "")
        if cell.cell_type == "code" and program_cell(found):
            head, _, body = found.partition("\n")
            cell.source = f"{head}\n{solved(body).rstrip()}"
    return nbformat.writes(copy).encode()


def put_back(context: BrowserContext, address: str, *files: Path) -> None:
    """Put lessons back, by the home page."""
    home = context.new_page()
    home.goto(address)
    home.set_input_files("#back", files)
    home.wait_for_selector(f"text=Taken back: {files[0].name}")
    home.close()


def notebook(cells: Iterable[str]) -> bytes:
    """Give a notebook with these code cells, for the kernel that lessons name."""
    kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"},
              "language_info": {"name": "python"}}  # fmt: skip
    made = [nbformat.v4.new_code_cell(text) for text in cells]
    return nbformat.writes(nbformat.v4.new_notebook(cells=made, metadata=kernel)).encode()


def kept(page: Page, file: str) -> Any:
    """Give what the browser's store has of a notebook."""
    return page.evaluate(KEPT, [STORE, file])


def cell_of(page: Page, place: int) -> Locator:
    """Give a cell of the notebook that is seen, from 0."""
    return page.locator(f"{SEEN} .jp-Cell").nth(place)


def open_lesson(context: BrowserContext, address: str, file: str) -> Page:
    """Open a lesson, and wait until its kernel is there."""
    page = context.new_page()
    page.goto(f"{address}lab/index.html?reset")  # without the lessons of last time
    page.wait_for_selector(".jp-LauncherCard", timeout=180_000)
    page.goto(f"{address}lab/index.html?path={file}")
    page.wait_for_selector(f".lm-mod-current >> text={file}", timeout=180_000)
    page.wait_for_selector(IDLE, timeout=180_000)
    return page


def run_all(page: Page) -> None:
    """Run all cells, and wait until the last one has run."""
    page.locator(f"{SEEN} .jp-Cell").first.click()
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells").first.click()
    page.wait_for_selector(f"{STATE}[data-status=busy]")
    page.wait_for_selector(IDLE, timeout=240_000)
