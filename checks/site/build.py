"""Build: a folder of static files, from which a browser alone runs the whole course."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any

from robotsim import KitError

from ..course.lessons import LESSONS, Lesson, pick_lessons
from ..home.deeds import PLAYGROUND, playground
from ..whole import write_whole
from ..words import counted, typed
from .distribution import with_pictures
from .lessons import READ, copy_for_a_tab, page_to_read
from .npm import fetch_packages, files_of
from .pack import freeze, packed
from .packages import KIT, kernel_files
from .pages import write_pages

__all__ = ["STORE", "build_site"]

STORE = "Quayside"
"""Name of the browser's store in which the learner's files are."""
_MARK = ".quayside-site"
_KERNEL = "@jupyterlite/pyodide-kernel-extension"
_EXTENSIONS = (_KERNEL, "@jupyter-widgets/jupyterlab-manager", "anywidget")
_BROUGHT = ("micropip", "piplite", "ipykernel", "comm", "pyodide-kernel", "jedi", "ipython")
"""What the kernel would install by itself, and finds in our pack."""
_SAVED_S = 5
"""Each so many s what was written is kept, so that a page that is closed loses next to nothing."""
_MODULES = ("ahead.js", "loader.mjs", "board.mjs", "pack.mjs", "runs.mjs", "wake.mjs")


def build_site(
    folder: Path, ids: Sequence[str] = (), *, packages: Path | None = None,
    pyodide: Path | None = None, lessons: Path = LESSONS,
) -> Iterator[str]:  # fmt: skip
    """Make the site, in place of one that was made before.

    Args:
        folder: Where it goes: a new or empty folder, or an older site.
        ids: The lessons; none for all.
        packages: A folder `node_modules` with the pinned packages; None to fetch them by npm.
        pyodide: An unpacked distribution of Pyodide, for matplotlib; None to do without.
        lessons: The folder of the lessons.

    Yields:
        A plain line for each thing done.

    Raises:
        KitError: The folder holds something else, or something that it needs is missing.
    """
    chosen = pick_lessons(ids, lessons)
    _ask_room(folder)
    with tempfile.TemporaryDirectory(prefix="quayside-site-") as name:
        work = Path(name)
        modules = packages or fetch_packages(work / "npm")
        found = files_of(modules)
        made, drawn = _engine_room(work / "room", found, pyodide)
        yield f"Interpreters and kit: {_size(made)}{'' if drawn else ', without matplotlib'}."
        _lay_lessons(work, chosen, drawn)
        _jupyter(work, made.name)
        site = work / "site"
        _quicken(site, made.name)
        shutil.move(made, site / made.name)
        shutil.move(work / READ, site / READ)
        write_pages(site, chosen, made.name, drawn=drawn, store=STORE, modules=modules)
        (site / _MARK).write_text("A site made by `python3 checks site`.\n", "utf-8")
        if folder.exists():
            shutil.rmtree(folder)
        shutil.move(site, folder)
    count = sum(path.is_file() for path in folder.rglob("*"))
    yield f"{counted(len(chosen), 'lesson')}, {counted(count, 'file')}, {_size(folder)}: {folder}"
    yield ("Put the folder on any web space with https, or see it here:"
           f" `python3 checks site {typed(folder)} --serve`.")  # fmt: skip


def _ask_room(folder: Path) -> None:
    if folder.exists() and not folder.is_dir() or (
        folder.is_dir() and any(folder.iterdir()) and not (folder / _MARK).is_file()
    ):  # fmt: skip
        raise KitError("There is something else in that place, and the site would take it over.",
                       where=str(folder), hint="name a new or an empty folder.")  # fmt: skip


def _engine_room(
    folder: Path, found: dict[str, Path], pyodide: Path | None
) -> tuple[Path, bool]:
    """Put everything that the kernel loads into one folder, whose name carries its hash.

    Returns:
        The folder, and whether it has what draws pictures.
    """
    folder.mkdir()
    for name, path in found.items():
        shutil.copyfile(path, folder / name)
    for name in _MODULES:
        shutil.copyfile(KIT / "tab" / name, folder / name)
    (folder / "ahead.mjs").write_text(_ahead(), "utf-8")
    drawn = with_pictures(folder, pyodide)
    files = kernel_files()
    mark = hashlib.sha256(packed(files))  # from which the memory follows
    for path in sorted(folder.iterdir()):
        mark.update(path.name.encode() + hashlib.sha256(path.read_bytes()).digest())
    # A kept memory cannot hold the compiled libraries that draw.
    memory = b"" if drawn else freeze(folder, files, folder.parent)
    (folder / "kernel.pack").write_bytes(packed(files, memory))
    return folder.rename(folder.with_name(f"quayside-{mark.hexdigest()[:12]}")), drawn


def _extensions() -> Path:
    return Path(sys.prefix, "share", "jupyter", "labextensions")


def _ahead() -> str:
    """Give the module of a worker that wakes before JupyterLab asks for one, as its kernel."""
    worker = f"{_KERNEL}/static/comlink.worker.*.js"
    found = [path.relative_to(_extensions()) for path in _extensions().glob(worker)]
    if len(found) != 1:
        raise KitError("The kernel for browsers is not installed as it should be.",
                       where=str(_extensions() / worker), hint="`pip install -e '.[site]'`",
                       )  # fmt: skip
    return f'import "./loader.mjs";\nimport "../extensions/{found[0].as_posix()}";\n'


def _quicken(site: Path, room: str) -> None:
    """Change two of JupyterLite's files, so that a start takes less.

    Its page wakes a kernel first of all. Its service worker, which hands each file on unchanged, no
    longer takes part in that: what a browser has compiled of a file it keeps only where it got the
    file itself.
    """
    told = f'src="../{room}/ahead.js" data-version="{version("jupyterlite-core")}"'
    ahead = f"<head>\n    <script {told}></script>"
    _change(site / "lab" / "index.html", "<head>", ahead)
    _change(site / "service-worker.js", "shouldDrop(t,a)||", "!enableCache||shouldDrop(t,a)||")


def _change(file: Path, was: str, now: str) -> None:
    text = file.read_text("utf-8")
    if text.count(was) != 1:
        raise KitError("JupyterLite is not as this kit knows it.", where=file.name,
                       hint="`pip install -e '.[site]'` brings the version that it knows.",
                       )  # fmt: skip
    file.write_text(text.replace(was, now), "utf-8")


def _lay_lessons(work: Path, lessons: Sequence[Lesson], drawn: bool) -> None:
    for lesson in lessons:
        copy = copy_for_a_tab(lesson, lessons, drawn)
        write_whole(work / "files" / lesson.file, copy)
        page = (work / READ / lesson.file).with_suffix(".html")
        write_whole(page, page_to_read(lesson, copy).encode())
    write_whole(work / "files" / PLAYGROUND, playground("site's first page"))


def _jupyter(work: Path, room: str) -> None:
    """Let JupyterLite build its part."""
    lite: dict[str, Any] = {
        "jupyter-lite-schema-version": 0,
        "jupyter-config-data": {
            "appName": "Quayside",
            "contentsStorageName": STORE, "settingsStorageName": f"{STORE} settings",
            "workspacesStorageName": f"{STORE} workspaces",
            "settingsOverrides": {
                "@jupyterlab/docmanager-extension:plugin": {"autosaveInterval": _SAVED_S},
            },
            "litePluginSettings": {
                "@jupyterlite/pyodide-kernel-extension:kernel": {
                    "pyodideUrl": f"./{room}/loader.mjs", "disablePyPIFallback": True,
                    "loadPyodideOptions": {"packages": list(_BROUGHT)},
                },
            },
        },
    }  # fmt: skip
    settings = {"LiteBuildConfig": {
        "ignore_sys_prefix": True, "no_sourcemaps": True, "apps": ["lab"],
        "no_unused_shared_packages": True, "contents": [str(work / "files")],
        "output_dir": str(work / "site"),
        "federated_extensions": [str(_extensions() / name) for name in _EXTENSIONS],
    }}  # fmt: skip
    (work / "jupyter-lite.json").write_text(json.dumps(lite), "utf-8")
    (work / "jupyter_lite_config.json").write_text(json.dumps(settings), "utf-8")
    command = [sys.executable, "-m", "jupyterlite_core", "build", "--lite-dir", str(work)]
    try:
        done = subprocess.run(command, cwd=work, capture_output=True, text=True, check=False)
    except OSError as fault:
        raise KitError(f"JupyterLite could not be started: {fault}.") from fault
    if done.returncode:
        missing = "No module named" in done.stderr
        hint = "`pip install -e '.[site]'` in the kit's environment brings it." if missing else ""
        rows = (done.stderr or done.stdout).strip().splitlines()[-3:]
        raise KitError(f"JupyterLite could not build the site: {' / '.join(rows)[:600]}", hint=hint)


def _size(folder: Path) -> str:
    whole = sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())
    return f"{whole / 1e6:.0f} MB"
