"""Ticks: round numbers for an axis, chosen and written as matplotlib does."""

from __future__ import annotations

import math

__all__ = ["round_ticks", "written"]

_STEPS = (1.0, 2.0, 2.5, 5.0)


def round_ticks(low: float, high: float, most: int) -> list[float]:
    """Give two or more round numbers from low to high, about `most` steps of them.

    *Source*: matplotlib's `AutoLocator`: steps of 1, 2, 2.5 or 5 times a power of ten, the first
    one that is wide enough; a smaller one where that leaves less than two ticks.
    """
    raw = (high - low) / most
    power = 10.0 ** math.floor(math.log10(raw))
    steps = [one * power * ten for ten in (0.1, 1.0, 10.0) for one in _STEPS]
    wanted = next(k for k, step in enumerate(steps) if step >= raw * (1 - 1e-9))
    for step in reversed(steps[: wanted + 1]):
        first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
        if last > first:
            break
    return [step * k for k in range(first, last + 1)]


def written(ticks: list[float]) -> list[str]:
    """Give numbers with as many digits after the point as tell them all, each with as many."""
    near = 1e-9 * max(map(abs, ticks), default=0.0)
    places = next(n for n in range(12) if all(abs(round(t, n) - t) <= near for t in ticks))
    return [f"{tick:.{places}f}".replace("-", "\N{MINUS SIGN}") for tick in ticks]
