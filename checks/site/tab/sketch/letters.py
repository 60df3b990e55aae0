"""Letters: how wide texts are in matplotlib's font, which the page may not have.

The widths are read from that font when the site is made (`letters.json`).  Every text is told how
wide to be, so that nothing runs into anything, whichever font a browser takes.
"""

from __future__ import annotations

import functools
import json
from pathlib import Path
from typing import Any

__all__ = ["ASCENT", "DESCENT", "FontProperties", "findfont", "get_font", "wide"]

ASCENT, DESCENT = 0.76, 0.24
"""How far a line of text reaches above and below its baseline, in sizes: "l" and "p", as
matplotlib reckons (`Text._get_layout`)."""
_FILE = Path(__file__).parent / "letters.json"


@functools.cache
def _widths() -> dict[str, dict[str, float]]:
    found: dict[str, dict[str, float]] = json.loads(_FILE.read_text("utf-8"))
    return found


def wide(text: str, size: float, weight: str = "normal") -> float:
    """Give the width of a text in points."""
    widths = _widths()[weight]
    return size * sum(widths.get(char, 0.6) for char in text)


class _Font:
    """As much of a font as `robotsim.show.style` asks for."""

    def __init__(self) -> None:
        self._size, self._text = 10.0, ""

    def get_charmap(self) -> dict[int, int]:
        return {ord(char): 0 for char in _widths()["normal"]}

    def set_size(self, size: float, _: float) -> None:
        self._size = size

    def set_text(self, text: str, _: float) -> None:
        self._text = text

    def get_width_height(self) -> tuple[float, float]:
        return 64 * wide(self._text, self._size, "dots"), 64 * self._size


def get_font(_: Any) -> _Font:
    """Give the one font."""
    return _Font()


def findfont(_: Any) -> str:
    """Give its name."""
    return "DejaVu Sans"


def FontProperties(**_: Any) -> None:  # noqa: N802
    """Take what is asked of a font; there is one."""
