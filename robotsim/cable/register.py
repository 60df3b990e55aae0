"""Register: which tugs this user has plugged in, so that the other commands find them."""

from __future__ import annotations

import contextlib
import json
import os
from dataclasses import dataclass
from pathlib import Path

from jupyter_core.paths import jupyter_runtime_dir

__all__ = ["Plugged", "forget", "plugged_in", "tell"]


@dataclass(frozen=True)
class Plugged:
    """A tug that is plugged in.

    Attributes:
        port: Where it is found.
        serial: Its serial number.
        flash: The folder that is its flash.
    """

    port: str
    serial: int
    flash: str


def _folder() -> Path:
    """Give the folder of this user's, which nobody else may write to."""
    return Path(jupyter_runtime_dir()) / "quayside-plugs"


def tell(port: str, flash: Path, serial: int) -> None:
    """Note that this process has plugged in a tug; where it cannot be noted it is not found."""
    with contextlib.suppress(OSError):
        folder = _folder()
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        words = {"port": port, "flash": str(flash), "serial": serial}
        (folder / f"{os.getpid()}.json").write_text(json.dumps(words), encoding="utf-8")


def forget() -> None:
    """Note that it has been pulled."""
    with contextlib.suppress(OSError):
        (_folder() / f"{os.getpid()}.json").unlink()


def plugged_in() -> list[Plugged]:
    """Give the tugs that are plugged in now; what has been left behind is swept up."""
    found = []
    folder = _folder()
    for note in sorted(folder.glob("*.json")) if folder.is_dir() else []:
        try:
            os.kill(int(note.stem), 0)
            words = json.loads(note.read_text(encoding="utf-8"))
            found.append(Plugged(words["port"], words["serial"], words["flash"]))
        except (OSError, ValueError, KeyError, TypeError):
            with contextlib.suppress(OSError):
                note.unlink()
    return found
