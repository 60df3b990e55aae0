"""The replay, its widget and a slider in JupyterLab and in Notebook 7, with a kernel."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import nbformat
import pytest

from tests.robotsim.show.browser import browser

pytestmark = pytest.mark.long

ROOT = Path(__file__).parents[3]
PROGRAM = """%%program go.py
from machine import PWM, Pin
import time
left = PWM(Pin(25), freq=1000, duty_u16=40000)
print("under way")
time.sleep(1)
left.duty_u16(0)"""
CELLS = [
    "from robotsim import run\nfrom robotsim.show import Replay, slide_pulse", PROGRAM,
    "made = run('go.py', seconds=2, replay=True)", "slide_pulse(1500)", "Replay(made, at=1.0)",
]  # fmt: skip


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("server")
    cells = [nbformat.v4.new_code_cell(source) for source in CELLS]
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    notebook = nbformat.v4.new_notebook(cells=cells, metadata={"kernelspec": kernel})
    nbformat.write(notebook, folder / "look.ipynb")
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        port = door.getsockname()[1]
    started = subprocess.Popen(
        [sys.executable, "-m", "jupyter", "lab", "--no-browser", f"--port={port}", "--allow-root",
         "--IdentityProvider.token=look", f"--ServerApp.root_dir={folder}"],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    address = f"http://127.0.0.1:{port}"
    try:
        for _ in range(120):
            try:
                urllib.request.urlopen(f"{address}/api?token=look", timeout=2).close()
                break
            except OSError:
                time.sleep(0.5)
        yield address
    finally:
        started.terminate()
        started.wait(30)


@pytest.mark.parametrize("place", ["lab/tree", "notebooks"])
def test_it_plays_and_a_slider_changes_its_picture(chromium: str, server: str, place: str) -> None:
    with browser(chromium) as started:
        page = started.new_page(viewport={"width": 1400, "height": 1000})
        page.goto(f"{server}/{place}/look.ipynb?token=look")
        page.wait_for_selector(".jp-Notebook", timeout=60_000)
        page.wait_for_timeout(4000)  # until its menus are there
        page.locator(".jp-Notebook .jp-Cell").first.click()
        page.get_by_role("menuitem", name="Run", exact=True).click()
        page.get_by_role("menuitem", name="Run All Cells").first.click()
        page.wait_for_function(
            "() => document.querySelectorAll('[data-metre]').length >= 2", timeout=90_000
        )
        shown, widget = page.locator(".quay-replay").all()
        assert widget.evaluate("root => root.replay.t") == 1
        shown.get_by_role("button", name="Play").click()
        page.wait_for_function("() => document.querySelector('.quay-replay').replay.t > 0.3")
        shown.get_by_role("button", name="Pause").click()
        cells = page.locator(".jp-Cell").count()
        page.keyboard.press("b")  # on a cell this would put a new one below
        page.wait_for_timeout(500)
        assert page.locator(".jp-Cell").count() == cells
        box = page.get_by_role("spinbutton", name="pulse in us, as a number")
        box.fill("1990")
        box.press("Enter")
        slider = page.get_by_role("slider", name="pulse in us", exact=True)
        slider.focus()
        page.keyboard.press("ArrowRight")  # on a cell this would go to another one
        page.wait_for_selector("img[alt*='45.0 degrees to port']")
