"""Order: what a program is started with, wherever it runs; LINK.md tells its words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from .computing import counting_files

__all__ = ["SILENCE_S", "Patience", "make_order"]

SILENCE_S = 5.0
"""How long a program may go without touching its board, in real seconds."""


@dataclass
class Patience:
    """For how long, in s of real time, a program is still waited for; several trials share one.

    A program that does something with its board now and then takes next to nothing of it.
    """

    left_s: float = math.inf


def make_order(
    files: Mapping[str, str], program: str, seed: int, lines: bool,
    flash: Mapping[str, bytes] | None, cause: str, pace: float, engine: str,
) -> dict[str, Any]:  # fmt: skip
    """Give the order that starts a program; the arguments are those of `Link`."""
    texts, rest = _split(files, flash)
    order: dict[str, Any] = {
        "files": texts, "flash": rest, "program": program, "folder": "", "seed": seed,
        "cause": cause, "counted": counting_files(texts, pace, lines and engine == "micropython"),
    }  # fmt: skip
    return {**order, "lines": True} if lines else order


def _split(
    files: Mapping[str, str], flash: Mapping[str, bytes] | None
) -> tuple[dict[str, str], dict[str, str]]:
    """Give the files that are text, and as hexadecimal bytes the others and the folders."""
    if flash is None:
        return dict(files), {}
    texts, rest = {}, {}
    for name, data in flash.items():
        text = files.get(name, "")
        if text.encode("utf-8", "backslashreplace") != data:
            text = data.decode("utf-8", "replace")
        if name.endswith("/") or text.encode("utf-8", "backslashreplace") != data:
            rest[name] = data.hex()
        else:
            texts[name] = text
    return texts, rest
