"""Elsewhere: the words of the kit that need more than a page has; each says so."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import Any, NoReturn

from robotsim import KitError
from robotsim.meant import NOT_HERE

__all__ = ["refuse_elsewhere"]

_KEPT = (
    "a page keeps no board from one day to the next",
    "your programs are in the notebook: run the cells that begin with %%program again.",
)
_WIRES = (
    "a page reaches nothing outside itself",
    "do this on a computer on which the kit is installed; all else goes on here.",
)
_ELSEWHERE = {
    "robotsim": {"aboard": _WIRES, "back": _KEPT, "earlier": _KEPT, "take": _KEPT},
    "robotsim.live": {"live": _WIRES},
    "checks.room": {"join_room": _WIRES, "leave_room": _WIRES},
}


def refuse_elsewhere() -> None:
    """Put a sentence in place of each of these words."""
    for place, words in _ELSEWHERE.items():
        module = import_module(place)
        for word, (why, instead) in words.items():
            NOT_HERE[word] = KitError(f"There is no {word}() in a page: {why}.", hint=instead)
            setattr(module, word, _refusal(NOT_HERE[word]))


def _refusal(told: KitError) -> Callable[..., NoReturn]:
    def refuse(*_: Any, **__: Any) -> NoReturn:
        raise KitError(told.what, hint=told.hint)

    return refuse
