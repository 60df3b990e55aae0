"""Licences: whose work a site holds, and under which terms."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.metadata import version
from pathlib import Path

from ..course.lessons import ROOT
from .npm import PINS
from .packages import kernel_packages

__all__ = ["licence_rows", "licence_texts"]

_NAMES = ("LICEN", "COPYING", "NOTICE")
_THEIRS = "build/third-party-licenses.json"
"""Where JupyterLite's build lays the terms of JupyterLab and of all that it is made of."""


def licence_rows() -> list[tuple[str, str, str]]:
    """Give name, version and licence of the kit, and of each package in a site."""
    rows = [("Quayside", version("quayside"), "MIT"),
            ("jupyterlite-core, with JupyterLab", version("jupyterlite-core"), "BSD-3-Clause")]
    for name, package in kernel_packages().items():
        told = package.metadata.json
        named = [c.rpartition(" :: ")[2] for c in told.get("classifier", ()) if "Licen" in c]
        words = told.get("license_expression") or ", ".join(named) or told.get("license") or ""
        rows.append((name, package.version, str(words).split("\n")[0][:60]))
    return [*rows, *((name, p.version, f"{p.licence}: {p.what}") for name, p in PINS.items())]


def licence_texts(modules: Path) -> str:
    """Give the texts of the licences.

    Args:
        modules: The folder with npm's packages.
    """
    return "\n\n".join(f"{name}\n{'=' * len(name)}\n\n{text.strip()}" for name, text in [
        ("JupyterLab, and what it is made of", f"See {_THEIRS} in this site."), *_texts(modules),
    ]) + "\n"  # fmt: skip


def _texts(modules: Path) -> Iterator[tuple[str, str]]:
    yield "Quayside", (ROOT / "LICENSE").read_text("utf-8")
    for name, package in kernel_packages().items():
        for file in package.files or ():
            if file.name.upper().startswith(_NAMES):
                place = Path(str(package.locate_file(file)))
                yield f"{name}: {file.name}", place.read_text("utf-8", "replace")
    for name, pin in PINS.items():
        found = [path for path in sorted((modules / name).iterdir())
                 if path.name.upper().startswith(_NAMES)]  # fmt: skip
        for path in found:
            yield name, path.read_text("utf-8", "replace")
        if not found:
            yield name, (f"{pin.licence}; the package comes without its text: spdx.org/licenses."
                         f" Its source: npm's package {name} {pin.version}, and the repository that"
                         " is named in it.")  # fmt: skip
