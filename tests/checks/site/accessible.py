"""Axe, by which a page's accessibility is looked through; fetched by npm, and never stored here."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

_VERSION = "4.14.1"
_INTEGRITY = (
    "sha512-FHfa+lmNjQZfJz1q8wKqIDwC6DExcHt/pkjNQb09a3NPjCKg2rhu5qb2S4r76ASyFNNtuFooJpZe37OgudVGtQ=="
)
_RULES = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]


def fetch_axe(folder: Path) -> str:
    """Fetch axe-core of the pinned version, held to its checksum; give its script."""
    folder.mkdir()
    asked: dict[str, Any] = {"name": "axe", "dependencies": {"axe-core": _VERSION}}
    (folder / "package.json").write_text(json.dumps(asked))
    packages = {"": asked, "node_modules/axe-core": {"version": _VERSION, "integrity": _INTEGRITY}}
    lock = {"name": "axe", "lockfileVersion": 3, "requires": True, "packages": packages}
    (folder / "package-lock.json").write_text(json.dumps(lock))
    npm = shutil.which("npm")
    assert npm
    command = [npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund"]
    subprocess.run(command, cwd=folder, check=True, capture_output=True)
    return (folder / "node_modules/axe-core/axe.min.js").read_text("utf-8")


def serious(page: Page, script: str, part: str | None = None) -> list[str]:
    """Give what axe finds of serious or critical impact, on a page or in a part of it."""
    page.evaluate(script)
    found = page.evaluate(
        "([part, rules]) => axe.run(part ?? document, { runOnly: rules }).then(({ violations }) =>"
        " violations.map(({ id, impact, nodes }) => [id, impact, nodes.map((n) => n.html)]))",
        [part, _RULES],
    )
    return [f"{name}: {html[:200]}" for name, impact, nodes in found for html in nodes
            if impact in ("serious", "critical")]  # fmt: skip
