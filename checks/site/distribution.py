"""Distribution: Pyodide's own list of packages, cut down to what the site really holds."""

from __future__ import annotations

import hashlib
import json
import shutil
from pathlib import Path
from typing import Any

from robotsim import KitError

__all__ = ["with_pictures"]

_WANTED = ("matplotlib", "numpy")
_LOCK = "pyodide-lock.json"


def with_pictures(room: Path, pyodide: Path | None) -> bool:
    """Add what draws pictures from an unpacked distribution; tell whether there is any.

    The list of packages in the folder is cut down to those that are in it, so that the page never
    asks another place for one.

    Raises:
        KitError: What lies there is not complete, is damaged, or is of another version.
    """
    place = room / _LOCK
    lock: dict[str, Any] = json.loads(place.read_text("utf-8"))
    kept: dict[str, Any] = {}
    waiting = list(_WANTED) if pyodide else []
    while waiting and pyodide:
        name = waiting.pop()
        entry = lock["packages"].get(name)
        if name in kept or entry is None:
            continue
        kept[name] = entry
        waiting += entry["depends"]
        _take(pyodide / entry["file_name"], room, entry["sha256"])
    place.write_text(json.dumps({**lock, "packages": kept}), "utf-8")
    return bool(kept)


def _take(wheel: Path, room: Path, sha256: str) -> None:
    try:
        data = wheel.read_bytes()
    except OSError as fault:
        raise KitError(f"A package of Pyodide's is not there: {fault.strerror}.", where=str(wheel),
                       hint="name the unpacked full distribution of the pinned version.",
                       ) from fault  # fmt: skip
    if hashlib.sha256(data).hexdigest() != sha256:
        raise KitError("A package of Pyodide's is damaged, or of another version.",
                       where=str(wheel), hint="unpack the pinned version's archive again.",
                       )  # fmt: skip
    shutil.copyfile(wheel, room / wheel.name)
