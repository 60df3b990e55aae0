"""Start: plugs the board's own interpreter into the simulator, within a browser's worker."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from robotsim.board.direct import plug_in
from robotsim.board.engines import SHIMS

__all__ = ["start"]

_ENGINES = SHIMS.parent / "engines"
_BOOT = "boot_micropython.py"


def start(board: Any) -> None:
    """Run every program from now on in an interpreter.

    Args:
        board: What `makeBoard` of board.mjs has made.
    """
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
    profile = Path.home() / ".ipython" / "profile_default"
    profile.mkdir(parents=True, exist_ok=True)
    told = 'get_config().InteractiveShellApp.extensions = ["checks.site.tab.kernel"]\n'
    (profile / "ipython_config.py").write_text(told, "utf-8")
