"""In a real browser, in JupyterLab: a tug that `mosquitto_pub` drives, a pad, keys, and Stop."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest
from playwright.sync_api import Page
from playwright.sync_api import TimeoutError as NothingCame

from tests.robotsim.radio.real import RealBroker, until
from tests.robotsim.show.browser import browser, opened

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[3]
CELL = 'from robotsim.live import live\ntug = live(broker="127.0.0.1:{port}", serial=7)'
PAD, PATIENCE_MS, PRESSED_AGAIN_MS = ".quay-live[data-x]", 60_000, 5_000
LOG = "() => document.querySelector('.quay-live-log').textContent"


@pytest.fixture(scope="module")
def publish(mosquitto: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """Publishes for the office, by the command-line client of Mosquitto; it knows the port."""
    program = shutil.which("mosquitto_pub")
    if program is None:
        end = pytest.fail if os.environ.get("QUAYSIDE_CI") == "1" else pytest.skip
        end("mosquitto_pub is not installed (on Debian: sudo apt install mosquitto-clients)")
    with RealBroker(mosquitto, tmp_path_factory.mktemp("broker")) as real:

        def publish(payload: str) -> None:
            words = ["-p", str(real.port), "-q", "1", "-t", "harbour/tug-7/order", "-m", payload]
            subprocess.run([program, "-h", "127.0.0.1", *words], check=True, timeout=20)

        publish.port = real.port  # type: ignore[attr-defined]
        yield publish


@pytest.fixture(scope="module")
def lab(publish: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """JupyterLab with a notebook that has one cell; gives its address."""
    folder = tmp_path_factory.mktemp("lab")
    cell = nbformat.v4.new_code_cell(CELL.format(port=publish.port))
    spec = {"name": "python3", "display_name": "Python 3", "language": "python"}
    nbformat.write(
        nbformat.v4.new_notebook(cells=[cell], metadata={"kernelspec": spec}), folder / "live.ipynb"
    )
    port, token = RealBroker.free_port(), secrets.token_hex(8)
    places = {
        f"JUPYTER_{name}_DIR": str(folder / name.lower()) for name in ("CONFIG", "DATA", "RUNTIME")
    }
    server = subprocess.Popen(
        [sys.executable, "-m", "jupyterlab", "--no-browser", "--allow-root", f"--port={port}",
         f"--IdentityProvider.token={token}", f"--ServerApp.root_dir={folder}"],
        cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        env={**os.environ, **places, "IPYTHONDIR": str(folder / "ipython"),
             "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    try:
        until(lambda: listens(port), "JupyterLab")
        yield f"http://127.0.0.1:{port}/lab/tree/live.ipynb?token={token}&reset"
    finally:
        server.terminate()
        server.wait()


def listens(port: int) -> bool:
    try:
        socket.create_connection(("127.0.0.1", port), timeout=1).close()
    except OSError:
        return False
    return True


@pytest.fixture(scope="module")
def page(chromium: str, lab: str) -> Iterator[Page]:
    """The notebook, its cell run, and the tug there to be ordered about."""
    with browser(chromium) as started:
        made, _ = opened(started, lab)
        run_cell(made)
        made.wait_for_selector(PAD, timeout=PATIENCE_MS)
        said(made, '"joined"')
        yield made


def run_cell(page: Page) -> None:
    """Run the one cell: JupyterLab drops what is pressed before all of it is there: once more."""
    page.wait_for_selector('[data-status="idle"]', timeout=PATIENCE_MS)
    begun = "() => document.querySelector('.jp-InputPrompt').textContent.trim() !== '[ ]:'"
    for _ in range(PATIENCE_MS // PRESSED_AGAIN_MS):
        page.click(".jp-CodeCell .cm-content", timeout=PATIENCE_MS)
        page.keyboard.press("Shift+Enter")
        with contextlib.suppress(NothingCame):
            page.wait_for_function(begun, timeout=PRESSED_AGAIN_MS)
            return


def said(page: Page, words: str) -> None:
    """Wait until the pad's log holds some words."""
    page.wait_for_function(f"words => ({LOG})().includes(words)", arg=words, timeout=PATIENCE_MS)


def place(page: Page) -> tuple[float, float]:
    x, y = (page.get_attribute(PAD, f"data-{axis}") for axis in "xy")
    assert x and y
    return float(x), float(y)


def stands(page: Page) -> None:
    """Wait until the read-out says that the tug stands."""
    page.wait_for_function(
        "() => document.querySelector('.quay-live-numbers .quay-value').textContent === '0.00 m/s'",
        timeout=PATIENCE_MS,
    )


def shot(page: Page, name: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Keep a picture, for whoever looks: in QUAYSIDE_PICTURES, or the run's own folder."""
    folder = os.environ.get("QUAYSIDE_PICTURES") or tmp_path_factory.getbasetemp()
    page.screenshot(path=Path(folder) / f"{name}.png")


def test_mosquitto_pub_drives_a_tug_that_the_page_shows(
    page: Page, publish: Callable[[str], None], tmp_path_factory: pytest.TempPathFactory
) -> None:
    before = place(page)
    shot(page, "live-before", tmp_path_factory)
    publish('{"speed": 0.25, "seconds": 1.5, "number": 41, "lamps": [0, 120, 0]}')
    said(page, '"started"')
    page.wait_for_function(
        f"x => Number(document.querySelector('{PAD}').dataset.x) > x + 0.1", arg=before[0],
        timeout=PATIENCE_MS,
    )  # fmt: skip
    shot(page, "live-under-way", tmp_path_factory)
    said(page, '"done"')
    stands(page)
    assert place(page)[0] - before[0] == pytest.approx(0.375, abs=0.12)
    assert "41" in page.locator(".quay-live-log").inner_text()


def test_an_order_that_is_none_is_refused_before_the_readers_eyes(
    page: Page, publish: Callable[[str], None]
) -> None:
    before = place(page)
    publish('{"speed": 25, "seconds": 1.5}')
    said(page, "guard refuses the order: speed is from -0.5 to 0.5")
    assert place(page) == before


def test_a_key_that_is_held_drives_and_one_that_is_let_go_stops(page: Page) -> None:
    before = place(page)
    page.locator(".quay-pad").focus()
    page.keyboard.down("ArrowDown")
    page.wait_for_function(
        f"x => Number(document.querySelector('{PAD}').dataset.x) < x - 0.03", arg=before[0],
        timeout=PATIENCE_MS,
    )  # fmt: skip
    page.keyboard.up("ArrowDown")
    said(page, '{"speed":0}')
    stands(page)


def test_a_button_that_is_held_drives(page: Page) -> None:
    before = place(page)
    button = page.get_by_role("button", name="ahead to port")
    button.hover()
    page.mouse.down()
    page.wait_for_function(
        f"y => Number(document.querySelector('{PAD}').dataset.y) > y + 0.005", arg=before[1],
        timeout=PATIENCE_MS,
    )  # fmt: skip
    page.mouse.up()


def test_every_button_has_a_name_and_the_log_is_read_out(page: Page) -> None:
    names = [made.get_attribute("aria-label") or made.inner_text()
             for made in page.locator(".quay-live button").all()]  # fmt: skip
    assert all(names) and len(set(names)) == len(names) == 11
    assert page.get_by_role("log").count() == 1


def test_stop_ends_the_run_and_nothing_can_be_pressed_any_more(
    page: Page, tmp_path_factory: pytest.TempPathFactory
) -> None:
    page.get_by_role("button", name="Stop", exact=True).click()
    page.wait_for_function(
        "() => document.querySelector('.quay-link').textContent === 'stopped'", timeout=PATIENCE_MS
    )
    assert page.locator(".quay-live button:not(:disabled)").count() == 0
    shot(page, "live-stopped", tmp_path_factory)
