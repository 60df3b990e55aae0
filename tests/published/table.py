"""One table of what was published and what ours is; conftest.py prints it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

Tell = Callable[[str, Any, Any, str], Any]
"""`tell(what, published, ours, source)` puts a row into the table and gives `ours` back."""
HEAD = ("topic", "what", "published", "ours", "difference", "source and mark")


class Between(NamedTuple):
    """A published range; None where it has no end."""

    least: float | None
    most: float | None


def row(topic: str, what: str, published: Any, ours: Any, source: str) -> tuple[str, ...]:
    """Give a row of the table; a value is a number, a text, several of them or a `Between`."""
    return topic, what, written(published), written(ours), difference(published, ours), source


def written(value: Any) -> str:
    """Write a value."""
    if isinstance(value, Between):
        if value.least is None:
            return f"at most {value.most:.6g}"
        return f"at least {value.least:.6g}" if value.most is None else (
            f"{value.least:.6g} to {value.most:.6g}"
        )  # fmt: skip
    if isinstance(value, (tuple, list)):
        return ", ".join(map(written, value))
    return f"{round(value, 12) + 0.0:.7g}" if isinstance(value, float) else str(value)


def difference(published: Any, ours: Any) -> str:
    """Say how far off ours is; of several values the farthest."""
    theirs, ours = several(published), several(ours)
    if isinstance(published, Between):
        least = published.least is None or published.least <= min(ours)
        return "within" if least and (
            published.most is None or max(ours) <= published.most
        ) else "outside"  # fmt: skip
    pairs = list(zip(theirs, ours, strict=True))
    if all(one == other or _rounded(one, other) for one, other in pairs):
        return "none"
    if any(isinstance(value, str) for pair in pairs for value in pair):
        return "differs"
    one, other = max(pairs, key=lambda pair: abs(pair[1] - pair[0]))
    share = f" ({100 * (other - one) / abs(one):+.2g} %)" if one else ""
    return f"{other - one:+.2g}{share}"


def _rounded(one: Any, other: Any) -> bool:
    numbers = not isinstance(one, str) and not isinstance(other, str)
    return numbers and abs(other - one) <= 1e-9 * max(abs(one), 1e-3)


def several(value: Any) -> tuple[Any, ...]:
    """Give one value or several as a tuple."""
    return tuple(value) if isinstance(value, (tuple, list)) else (value,)


def lines(rows: Iterable[tuple[str, ...]]) -> list[str]:
    """Lay the rows out under their head, in columns that Markdown reads too."""
    rows = [HEAD, *rows]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    rows.insert(1, tuple("-" * width for width in widths))
    return [
        f"| {' | '.join(c.ljust(w) for c, w in zip(cells, widths, strict=True))} |"
        for cells in rows
    ]
