"""Start: a kernel within a browser's worker, in two steps.

What needs no page is done once, when the site is made, and kept as the kernel's memory; the rest is
done in the page.
"""

from __future__ import annotations

import importlib
import json
import random
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from robotsim.board.direct import plug_in
from robotsim.board.engines import SHIMS

from .interrupted import watch_cells

__all__ = ["prepare", "start"]

_ENGINES = SHIMS.parent / "engines"
_BOOT = "boot_micropython.py"
_AHEAD = ("checks", "ipywidgets", "jedi", "piplite.piplite", "robotsim.notebook")
"""What lessons and kernel import, beside the pictures."""


def prepare() -> None:
    """Start the kernel's shell, and import what lessons do."""
    from robotsim.show import display

    profile = Path.home() / ".ipython" / "profile_default"
    profile.mkdir(parents=True, exist_ok=True)
    told = 'get_config().InteractiveShellApp.extensions = ["checks.site.tab.kernel"]\n'
    (profile / "ipython_config.py").write_text(told, "utf-8")
    importlib.import_module("pyodide_kernel")
    for name in _AHEAD:
        importlib.import_module(name)
    if not display.can_draw():  # matplotlib itself takes long, and waits until it is asked for
        for path in sorted(Path(display.__file__).parent.glob("*.py")):
            importlib.import_module(f"robotsim.show.{path.stem}")


def start(board: Any, runs: Any) -> None:
    """Run every program from now on in an interpreter.

    Args:
        board: What `makeBoard` of board.mjs has made.
        runs: What `openRuns` of runs.mjs has opened.
    """
    import pyodide_js
    from pyodide.ffi import create_proxy, to_js

    shims = {path.relative_to(SHIMS).as_posix(): path for path in SHIMS.rglob("*.py")}
    shims |= {"_wire.py": _ENGINES / "boot_direct.py", _BOOT: _ENGINES / _BOOT}
    board.lay(to_js([[name, path.read_text("utf-8")] for name, path in shims.items()]))

    def interpret(order: str, exchange: Callable[[str], str]) -> None:
        asked = json.loads(order)
        own = [f"own_{name}" for name in asked["files"] if name.endswith(".py")]

        def heard(messages: str) -> str | None:
            try:
                return exchange(messages)
            except BaseException:  # the link has kept it; an exception of Python's is no page's
                return None

        proxy = create_proxy(heard)
        try:
            board.run(json.dumps({**asked, "folder": "/own"}), to_js(own), proxy)
        finally:
            proxy.destroy()

    plug_in(interpret)
    random.seed()  # what was kept with the memory would be the same for everyone, every day
    watch_cells(sys.modules["pyodide_kernel"].ipython_shell, runs)
    kernel = sys.modules["pyodide_kernel.kernel"]
    kernel._load_packages_from_imports = pyodide_js.loadPackagesFromImports  # type: ignore[attr-defined]
