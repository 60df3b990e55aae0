"""Own tug: the number of a learner's tug, by the card that lies beside the notebook."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from .errors import KitError
from .parts import MOST_SERIAL

__all__ = ["OWN_SERIAL", "find_card", "own_serial"]

OWN_SERIAL = 7
"""The serial number of a learner's tug where no card says otherwise."""
_CARD = "tug.json"
_OF_A_REAL_TUG = {"pins", "lamps", "wheel_mm", "track_mm", "start", "strength"}


def find_card(name: str, folder: Path | None = None) -> Path | None:
    """Give a learner's card, a small file here or up to three folders above, None without one."""
    return next(_cards(name, folder), None)


def _cards(name: str, folder: Path | None) -> Iterator[Path]:
    here = (folder or Path.cwd()).resolve()
    return (card for place in (here, *here.parents[:3]) if (card := place / name).is_file())


def own_serial(folder: Path | None = None) -> int:
    """Give the learner's serial number: from the card `tug.json` here or above, or the usual one.

    A file of that name that tells what a real tug is like, and no number, is passed over.

    Raises:
        KitError: The card is damaged.
    """
    for card in _cards(_CARD, folder):
        if (serial := _serial_of(card)) is not None:
            return serial
    return OWN_SERIAL


def _serial_of(card: Path) -> int | None:
    """Give the number on a card, None where it is that of a real tug and has none."""
    try:
        told = json.loads(card.read_text(encoding="utf-8"))
        if isinstance(told, dict) and "serial" not in told and told.keys() & _OF_A_REAL_TUG:
            return None
        serial = told["serial"]
        if isinstance(serial, int) and 0 <= serial <= MOST_SERIAL:
            return serial
        raise ValueError(serial)
    except (ValueError, KeyError, TypeError, OSError) as fault:
        raise KitError(
            f"The tug's card {_CARD} is damaged ({fault}).",
            where=_CARD,
            hint='it should read {"serial": 7}, with the number on your tug.',
        ) from fault
