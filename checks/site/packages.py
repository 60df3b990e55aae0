"""Packages: the Python files that a tab's kernel finds, taken from this very environment.

They are pure Python, so the files that are installed here run there as well; nothing is fetched.
"""

from __future__ import annotations

import sys
import zipfile
from collections.abc import Iterator
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from robotsim import KitError

from ..course.edition import kit_files
from .letters import letters

__all__ = ["KIT", "kernel_files", "kernel_packages"]

KIT = Path(__file__).parent
_WANTED = ("ipython", "jedi", "comm", "ipywidgets", "anywidget", "paho-mqtt")
"""What the kernel needs, and what our own files import; with all that these ask for."""
_NOT = {"widgetsnbextension", "jupyterlab-widgets"}
"""What these ask for and a server alone needs."""
_KINDS = {".py", ".pyi", ".json", ".css", ".html", ".txt", ".typed", ".js"}
_LEFT = (
    "jedi/third_party/django-stubs/", "jedi/third_party/typeshed/stubs/", "/tests/", "/test/",
)  # fmt: skip
_KERNEL = "share/jupyter/labextensions/@jupyterlite/pyodide-kernel-extension"
_WHEELS = ("ipykernel", "pyodide_kernel")
"""Wheels that the kernel's own package brings, which has no other use for them."""

_THERE = {
    "sys_platform": "emscripten", "platform_system": "Emscripten", "platform_machine": "wasm32",
    "os_name": "posix", "python_version": "3.14", "python_full_version": "3.14.2", "extra": "",
}  # fmt: skip
"""What a package's conditions are held against: a browser, not this computer."""


def _found(name: str) -> Distribution:
    try:
        return distribution(name)
    except PackageNotFoundError as missing:
        raise KitError(
            f"The package {name!r} is not installed, and the site cannot be built without it.",
            hint="`pip install -e '.[site]'` in the kit's environment brings it.",
        ) from missing


def kernel_packages() -> dict[str, Distribution]:
    """Give the packages that a tab's kernel needs, name to what is installed here.

    Raises:
        KitError: One is not installed.
    """
    found: dict[str, Distribution] = {}
    waiting = list(_WANTED)
    while waiting:
        name = canonicalize_name(waiting.pop())
        if name in found or name in _NOT:
            continue
        found[name] = made = _found(name)
        for text in made.requires or ():
            asked = Requirement(text)
            if asked.marker is None or asked.marker.evaluate(_THERE):
                waiting.append(asked.name)
    return dict(sorted(found.items()))


def _of(package: Distribution) -> Iterator[tuple[str, bytes]]:
    """Give the files of a package that matter: its code, and that it is there."""
    for file in package.files or ():
        name = file.as_posix()
        kept = file.suffix in _KINDS or file.name == "METADATA"
        if kept and not name.startswith("..") and not any(part in name for part in _LEFT):
            yield name, Path(str(package.locate_file(file))).read_bytes()


def _of_wheels() -> Iterator[tuple[str, bytes]]:
    folder = Path(sys.prefix, _KERNEL, "static", "pypi")
    for name in _WHEELS:
        wheels = sorted(folder.glob(f"{name}-*.whl"))
        if not wheels:
            raise KitError("The kernel for browsers is not installed as it should be.",
                           where=str(folder), hint="`pip install -e '.[site]'`")  # fmt: skip
        with zipfile.ZipFile(wheels[-1]) as wheel:
            yield from ((each, wheel.read(each)) for each in wheel.namelist())


def kernel_files() -> dict[str, bytes]:
    """Give every file, by name: the packages, and the learners' edition of the kit."""
    return dict(_everything())


def _everything() -> Iterator[tuple[str, bytes]]:
    for package in kernel_packages().values():
        yield from _of(package)
    yield from _of_wheels()
    yield from kit_files()
    for path in sorted((KIT / "tab").rglob("*.py")):
        yield f"checks/site/{path.relative_to(KIT).as_posix()}", path.read_bytes()
    yield "checks/site/tab/sketch/letters.json", letters()
    yield "checks/site/__init__.py", (KIT / "__init__.py").read_bytes()
    yield "piplite/__init__.py", (KIT / "tab" / "nothing_to_install.py").read_bytes()
    yield "piplite/piplite.py", b""
