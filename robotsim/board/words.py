"""Words: how the board reads the pieces of a message."""

from __future__ import annotations

import json
from functools import lru_cache
from typing import Any

from ..units import US

__all__ = ["NOT_OURS", "RESETS", "computed", "pin_number", "read_report"]

NOT_OURS = (ValueError, TypeError, KeyError, IndexError, OverflowError, RecursionError)
"""What reading a message raises that is not in the link's language."""
_LAST_PIN = 39
_MANY = 1 << 31
_LONGEST_US = 10**9
RESETS = {
    b"hard": "machine.reset()", b"soft": "machine.soft_reset()", b"deep": "machine.deepsleep()",
}  # fmt: skip
"""Why a program starts its board anew, as the recording tells it."""


@lru_cache(256)  # a program says the same words again and again
def pin_number(word: bytes) -> int:
    """Read the number of a pin that the board may have.

    Raises:
        ValueError: There is no such pin.
    """
    number = int(word)
    if not 0 <= number <= _LAST_PIN:
        raise ValueError(number)
    return number


@lru_cache(4096)
def computed(word: bytes) -> int:
    """Read how many us a program has computed, and give them in ns; an empty word is none.

    Raises:
        ValueError: It is no time that may have passed.
    """
    us = int(word or b"0")
    if not 0 <= us <= _LONGEST_US:
        raise ValueError(us)
    return us * US


def read_report(words: tuple[bytes, ...]) -> dict[str, Any]:
    """Read what a program's process says of an exception."""
    report = json.loads(b" ".join(words))
    calls = [(str(f), int(n), str(w)) for f, n, w in report["calls"][:100]]
    if not all(0 <= line < _MANY for _, line, _ in calls):
        raise ValueError(calls)
    return {"kind": str(report["kind"]), "message": str(report["message"])[:2000], "calls": calls}
