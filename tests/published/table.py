"""One table of what was published and what ours is; conftest.py prints it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

Tell = Callable[[str, Any, Any, str], Any]
"""`tell(what, published, ours, source)` puts values into the table and gives `ours` back."""
HEAD = ("topic", "what", "published", "ours", "difference", "source and mark")


class Between(NamedTuple):
    """A published range; None where it has no end."""

    least: float | None
    most: float | None

    def __str__(self) -> str:
        if self.least is None:
            return f"at most {self.most:g}"
        if self.most is None:
            return f"at least {self.least:g}"
        return f"{self.least:g} to {self.most:g}"

    def holds(self, value: float) -> bool:
        """Tell whether a value lies within."""
        return (self.least is None or self.least <= value) and (
            self.most is None or value <= self.most
        )


Pair = tuple[Any, Any]
"""Published and ours: a number, a text, several of them; a `Between` for what is published."""


def row(topic: str, what: str, pairs: Sequence[Pair], source: str) -> tuple[str, ...]:
    """Give a row of the table; what was told under one name stands in one row."""
    published = [written(theirs) for theirs, _ in pairs]
    if len(set(published)) == 1:
        published = published[:1]
    ours = [written(found) for _, found in pairs]
    return topic, what, ", ".join(published), ", ".join(ours), difference(pairs), source


def written(value: Any) -> str:
    """Write a value, or several."""
    if isinstance(value, (tuple, list)) and not isinstance(value, Between):
        return ", ".join(map(written, value))
    return f"{round(value, 12) + 0.0:.7g}" if isinstance(value, float) else str(value)


def difference(pairs: Iterable[Pair]) -> str:
    """Say how far off ours is, at the farthest."""
    flat = [pair for theirs, ours in pairs for pair in _each(theirs, ours)]
    if any(isinstance(theirs, Between) for theirs, _ in flat):
        return "within" if all(theirs.holds(ours) for theirs, ours in flat) else "outside"
    if all(_same(*pair) for pair in flat):
        return "none"
    if any(isinstance(value, str) for pair in flat for value in pair):
        return "differs"
    theirs, ours = max(flat, key=_off)
    share = f" ({100 * (ours - theirs) / abs(theirs):+.2g} %)" if theirs else ""
    return f"{ours - theirs:+.2g}{share}"


def _each(theirs: Any, ours: Any) -> Iterable[Pair]:
    if isinstance(theirs, (tuple, list)) and not isinstance(theirs, Between):
        return zip(theirs, ours, strict=True)
    return [(theirs, ours)]


def _same(theirs: Any, ours: Any) -> bool:
    """Tell whether nothing but rounding lies between two values."""
    numbers = not isinstance(theirs, str) and not isinstance(ours, str)
    return bool(theirs == ours or (numbers and abs(ours - theirs) <= 1e-9 * max(abs(theirs), 1e-3)))


def _off(pair: Pair) -> float:
    """Give how far off ours is for its size."""
    theirs, ours = pair
    return float(abs(ours - theirs) / (abs(theirs) or 1.0))


def lines(rows: Iterable[tuple[str, ...]]) -> list[str]:
    """Lay the rows out under their head, in columns that Markdown reads too."""
    rows = [HEAD, *rows]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    rows.insert(1, tuple("-" * width for width in widths))
    return [
        f"| {' | '.join(c.ljust(w) for c, w in zip(cells, widths, strict=True))} |"
        for cells in rows
    ]
