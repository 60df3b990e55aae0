"""Tables: the floors of the harbour, and the solid things on them."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from functools import lru_cache

from ..errors import UnknownNameError
from .layouts import basin, channel, dock, harbour, quay
from .table import Dock, Pose, Print, Table, along_line, distance_to_line, stop_bars

__all__ = [
    "TABLES",
    "Dock",
    "Pose",
    "Print",
    "Table",
    "along_line",
    "distance_to_line",
    "held_out",
    "make_table",
    "stop_bars",
]

TABLES: dict[str, Callable[[int], Table]] = {
    "basin": basin,
    "quay": quay,
    "channel": channel,
    "dock": dock,
    "harbour": harbour,
}
"""Table name to the function that lays it out; seed 0 is the one that lessons show.

So is one below 0: the same table on another day, on which only noise is another."""


def make_table(name: str, seed: int = 0) -> Table:
    """Give a table by name; other seeds than 0 vary what may be varied.

    Raises:
        UnknownNameError: There is no such table.
        KitError: The seed is not a whole number.
    """
    if name not in TABLES:
        raise UnknownNameError("table", name, TABLES)
    if type(seed) is not int:  # the layout itself says what is wrong with it
        return TABLES[name](seed)
    return _laid_out(TABLES[name], seed)


@lru_cache(maxsize=8)
def _laid_out(lay: Callable[[int], Table], seed: int) -> Table:
    """Lay a table out once: no trial changes it, and its floor keeps what has been looked up."""
    return lay(seed)


def held_out(name: str, seed: int, variant: int) -> int:
    """Give the seed of another table of the same kind: the same way round, and with the same ink.

    The plain table has no other; it is given another day, with noise of its own.

    So what a table is there to find out, such as whether a program knows but one side, another
    one finds out as well.

    Args:
        name: The table's name.
        seed: The seed of the one that is known.
        variant: Which of the others, from 0 up; 0 is the known one itself.

    Raises:
        UnknownNameError: There is no such table.
        KitError: The seed is not a whole number.
    """
    if seed == 0:
        return -variant
    lots = make_table(name, seed).lots
    others = itertools.count(seed + 1000 * variant)
    return next(other for other in others if make_table(name, other).lots == lots)
