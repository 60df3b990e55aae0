"""Journal: what a screen has heard today, one line each, so that a new start forgets nothing."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from robotsim import KitError

from ..whole import write_whole
from .model import Room

__all__ = ["Journal"]


class Journal:
    """A file of JSON lines: time, key, what, and the message as it came.

    Args:
        path: The file; made if it is not there.

    Raises:
        KitError: It cannot be written to.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            data = path.read_bytes() if path.is_file() else b""
            if data and not data.endswith(b"\n"):  # ended in the middle of a line
                write_whole(path, data + b"\n")
            path.open("ab").close()
        except OSError as fault:
            raise KitError(f"The journal cannot be written ({fault.strerror}).", where=str(path),
                           hint="name a folder that you may write to.") from fault  # fmt: skip

    def note(self, now: float, key: str, what: str, payload: bytes) -> None:
        """Add what was heard."""
        line = {"t": round(now, 1), "key": key, "what": what, "told": payload.decode("utf-8")}
        with self.path.open("ab") as file:
            file.write(json.dumps(line, ensure_ascii=False).encode() + b"\n")

    def forget(self, key: str) -> None:
        """Leave out all that a laptop has told: its learner has taken it back."""
        kept = [line for line in self._lines() if _entry(line).get("key") != key]
        write_whole(self.path, b"".join(line + b"\n" for line in kept))

    def replay(self, room: Room) -> int:
        """Let a room hear everything again, each at its time; give how many lines were spoilt."""
        spoilt = 0
        for line in self._lines():
            try:
                entry = _entry(line)
                room.hear(entry["key"], entry["what"], entry["told"].encode(), float(entry["t"]))
            except (KeyError, TypeError, ValueError, AttributeError):
                spoilt += 1
        return spoilt

    def _lines(self) -> list[bytes]:
        return [line for line in self.path.read_bytes().split(b"\n") if line]


def _entry(line: bytes) -> dict[str, Any]:
    try:
        entry = json.loads(line)
    except ValueError:
        return {}
    return entry if isinstance(entry, dict) else {}
