"""A page in Chromium, for tests of what plays in a browser."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

LIGHT, DARK = ("true", "#ffffff"), ("false", "#111111")


@contextmanager
def browser(program: str) -> Iterator[Browser]:
    """Start Chromium without a window; no test needs a network, so it gets none."""
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(
            executable_path=program, args=["--no-sandbox", "--disable-gpu"]
        )
        try:
            yield started
        finally:
            started.close()


def written(path: Path, body: str, theme: tuple[str, str] = LIGHT) -> str:
    """Write a page as JupyterLab would show an output in it, and give its address."""
    light, ground = theme
    page = (
        f'<!doctype html><html lang="en"><title>page</title><meta charset="utf-8">'
        f'<body data-jp-theme-light="{light}" style="background: {ground}">{body}</body></html>'
    )
    path.write_text(page, encoding="utf-8")
    return path.as_uri()


def opened(started: Browser, address: str, **settings: Any) -> tuple[Page, list[str]]:
    """Open a page and give it with the list in which its errors gather."""
    settings = {"viewport": {"width": 1280, "height": 900}} | settings
    page = started.new_page(**settings)
    trouble: list[str] = []
    page.on("pageerror", lambda fault: trouble.append(str(fault)))
    page.on("console", lambda said: trouble.append(said.text) if said.type == "error" else None)
    page.goto(address)
    return page, trouble
