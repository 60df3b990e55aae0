"""Figures: reading what `tug.json` holds; each thing that cannot be gets one clear line."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from ..errors import KitError, unreadable

__all__ = ["load", "mapping", "number", "numbers", "within"]

_TUG = "tug.json"
_HOW = ("`python3 robotsim powerup --port PORT` writes one, into the folder powerup-card of the "
        'kit\'s folder; by hand it reads {"pins": {"arm": 4}}.')  # fmt: skip


def load(path: Path) -> Mapping[str, Any]:
    """Read what a `tug.json` holds.

    Raises:
        KitError: It cannot be read.
    """
    try:
        data = json.loads(path.read_text(encoding="utf-8-sig"))  # some editors put a mark first
    except json.JSONDecodeError as fault:
        raise KitError(
            "The tug's file is not written as JSON is.",
            where=f"{path.absolute()}, line {fault.lineno}, column {fault.colno}",
            hint=f"{_meant(path)}a comma too many there or too few before it, or a quote? {_HOW}",
        ) from fault  # fmt: skip
    except (OSError, ValueError) as fault:
        raise unreadable("The tug's file", path, fault, f"{_meant(path)}{_HOW}") from fault
    if not isinstance(data, dict):
        raise KitError("The tug's file holds no table of figures.", where=str(path), hint=_HOW)
    return data


def _meant(path: Path) -> str:
    """Ask whether the card's file was meant by its folder, or by another file in that."""
    for one in (path / _TUG, path.parent / _TUG):
        if path.exists() and path != one and one.is_file():
            return f"did you mean {str(one)!r}? If not, "
    return ""


@contextmanager
def within(file: Path) -> Iterator[None]:
    """Say of what cannot be also in which file it stands."""
    try:
        yield
    except KitError as fault:
        where = ", ".join(filter(None, (str(file), fault.where)))
        raise KitError(fault.what, where=where, hint=fault.hint) from fault


def mapping(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    """Give a table within a table; an empty one where there is none."""
    found = data.get(name) or {}
    if not isinstance(found, Mapping):
        raise KitError(f"{name} is a table of names and numbers, not {found!r}.", where=name,
                       hint='such as {"left": 0.2, "right": 0.21}.')  # fmt: skip
    return found


def number(data: Mapping[str, Any], name: str, default: float) -> float:
    """Give a number, or the default where there is none."""
    found = data.get(name)
    if found is None:
        return default
    if isinstance(found, bool) or not isinstance(found, int | float) or not math.isfinite(found):
        raise KitError(f"{name} is a number, not {found!r}.", where=name,
                       hint="write it without quotes: 60, or 0.21.")  # fmt: skip
    return float(found)


def numbers(data: Mapping[str, Any], name: str, count: int) -> tuple[float, ...]:
    """Give so many numbers, or none."""
    found = data.get(name) or []
    if not isinstance(found, list | tuple) or len(found) not in (0, count):
        raise KitError(f"{name} is a list of {count} numbers, not {found!r}.", where=name,
                       hint="in brackets, with commas; leave it out if it was not measured.")
    return tuple(number({name: value}, name, 0.0) for value in found)
