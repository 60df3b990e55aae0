"""Npm: what comes through npm's own client at build time, pinned, with its checksums."""

from __future__ import annotations

import json
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

from robotsim import KitError

__all__ = ["PINS", "Pin", "fetch_packages", "files_of"]


@dataclass(frozen=True)
class Pin:
    """A package of npm.

    Attributes:
        version: Its version.
        integrity: Its archive's checksum, as npm has it (Subresource Integrity).
        licence: Its licence.
        what: What it is, for the page of licences.
        files: Those of its files that a site holds.
    """

    version: str
    integrity: str
    licence: str
    what: str
    files: tuple[str, ...]


PINS = {
    "pyodide": Pin(
        "314.0.7",
        "sha512-0YvXxEhfEdpLfb/XkM2BFAeMROq0iMUX2bzzH9pOttyMcWkwq+HbE5uyuGD82LN7y2q+SNvi/6V5JEsOlD2R1A==",
        "MPL-2.0", "CPython for browsers, in which the simulator runs",
        ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", "python_stdlib.zip",
         "pyodide-lock.json"),
    ),
    "@micropython/micropython-webassembly-pyscript": Pin(
        "1.28.0-6",
        "sha512-eRJw+jOhFPoEClHRI8RmzIBjORpOhVdDFcdrNYHUc0U+EwchuD5cYIfmgvj3RWim7vBnjBK8mYxMBBVduOo8Lw==",
        "MIT", "MicroPython for browsers, in which the learners' programs run",
        ("micropython.mjs", "micropython.wasm"),
    ),
    "fflate": Pin(
        "0.8.3",
        "sha512-tbZNuJrLwGUp3zshBtdy4W+ORxZuIh8a5ilyIEQDC5rY1f3U20JMry0Ll3WBzU58EZKsEuJFXhb5gwv8CsPvgA==",
        "MIT", "archives, for handing in",
        ("esm/browser.js",),
    ),
}  # fmt: skip
"""Pyodide's other dependencies serve Node.js, and are not fetched."""


def _lock() -> dict[str, object]:
    """Give npm's own lock file for the pins: with it, npm refuses whatever else it is given."""
    packages: dict[str, object] = {
        "": {"dependencies": {name: pin.version for name, pin in PINS.items()}}
    }
    for name, pin in PINS.items():
        packages[f"node_modules/{name}"] = {"version": pin.version, "integrity": pin.integrity}
    return {"name": "site", "lockfileVersion": 3, "requires": True, "packages": packages}


def fetch_packages(folder: Path) -> Path:
    """Fetch the pinned packages; give the folder in which they lie.

    Raises:
        KitError: Npm is missing, or it could not fetch them.
    """
    npm = shutil.which("npm")
    if npm is None:
        raise KitError(
            "npm is not installed, and the site's interpreters come through it.",
            hint="install it (Debian: `apt install npm`), or name a node_modules folder that was"
            " filled elsewhere: --packages FOLDER.",
        )
    folder.mkdir(parents=True, exist_ok=True)
    asked = {"dependencies": {name: pin.version for name, pin in PINS.items()}}
    (folder / "package.json").write_text(json.dumps({"name": "site", **asked}), "utf-8")
    (folder / "package-lock.json").write_text(json.dumps(_lock()), "utf-8")
    command = [npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--legacy-peer-deps"]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    if done.returncode:
        rows = [row for row in done.stderr.splitlines() if row.strip()]
        raise KitError(
            f"npm could not fetch the site's interpreters: {' '.join(rows)[:400]}",
            hint="is there a network? What was fetched elsewhere serves too: --packages FOLDER.",
        )
    return folder / "node_modules"


def files_of(modules: Path) -> dict[str, Path]:
    """Give the files that a site holds of the packages, by the names that they get there.

    Raises:
        KitError: A package is missing, or is another version.
    """
    found = {}
    for name, pin in PINS.items():
        about = modules / name / "package.json"
        try:
            version = json.loads(about.read_text("utf-8"))["version"]
        except (OSError, ValueError, KeyError, TypeError) as fault:
            raise KitError(f"The package {name} is not there, or damaged.", where=str(about),
                           hint=f"`npm install {name}@{pin.version}`") from fault  # fmt: skip
        if version != pin.version:
            raise KitError(f"The package {name} is {version}, and the site is made for"
                           f" {pin.version}.", where=str(about),
                           hint=f"`npm install {name}@{pin.version}`")  # fmt: skip
        for file in pin.files:
            kept = f"{name}.js" if name == "fflate" else file
            found[kept] = modules / name / file
    return found
