"""Results: how the results of a class are spread, as a histogram."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..errors import KitError
from .colours import INK, OKABE_ITO, PAPER, readable
from .compose import head
from .style import SMALL, new_figure, styled

__all__ = ["histogram", "histogram_text"]


def histogram(
    values: Sequence[float], *, what: str = "score", unit: str = "", bins: int = 10,
    limits: tuple[float, float] | None = None, band: tuple[float, float] | None = None,
    title: str = "",
) -> Figure:  # fmt: skip
    """Draw how a class's results are spread, with the number on each bar.

    Args:
        values: One result for each learner.
        what: What they are ("score", "distance from the target").
        unit: Their unit, or "".
        bins: Number of bars.
        limits: From where to where the bars reach; the values' own range if not given.
        band: The range that is right, hatched; the title then counts who is in it.
        title: The finding in words; made from the values if empty.

    Raises:
        KitError: There are no values, or one is not a finite number.
    """
    numbers = _finite(values)
    low, high = limits or (float(numbers.min()), float(numbers.max()))
    if high <= low:
        low, high = low - 0.5, high + 0.5
    heights, edges = np.histogram(np.clip(numbers, low, high), bins=bins, range=(low, high))
    with styled():
        drawn = new_figure(7.0, 3.6)
        told = histogram_text(values, what=what, unit=unit, band=band)
        head(drawn, title or told.split(". ")[0].rstrip("."), f"{what} of {len(numbers)} learners")
        axes = drawn.add_axes((0.06, 0.13, 0.9, 0.60), label=what)
        _bars(axes, heights, edges, band)
        median = float(np.median(numbers))
        axes.axvline(median, color=INK, linestyle=(0, (4, 2)), linewidth=1.2, gid="median")
        axes.text(median, 1.015, f"median {median:.3g}{unit and ' ' + unit}", fontsize=SMALL,
                  transform=axes.get_xaxis_transform(), ha="center", va="bottom", color=INK,
                  gid="median name")  # fmt: skip
        axes.set_xlabel(f"{what} in {unit}" if unit else what)
        drawn.set_label(told)
        return drawn


def _finite(values: Sequence[float]) -> np.ndarray[Any, Any]:
    numbers = np.asarray(list(values), dtype=float)
    if not len(numbers) or not np.all(np.isfinite(numbers)):
        raise KitError(
            "A histogram needs at least one number, all of them finite.",
            hint="leave out those without a result.",
        )
    return numbers


def _bars(axes: Axes, heights: Any, edges: Any, band: tuple[float, float] | None) -> None:
    top = max(int(heights.max()), 1)
    full = heights > 0
    blue = OKABE_ITO["blue"]
    axes.bar(edges[:-1][full], heights[full], width=np.diff(edges)[full] * 0.94, align="edge",
             color=blue + "55", edgecolor=blue, linewidth=1.0, gid="bar")  # fmt: skip
    for left, right, number in zip(edges, edges[1:], heights, strict=False):
        if number:
            axes.text(left + 0.47 * (right - left), number + 0.02 * top, f"{number}", ha="center",
                      va="bottom", fontsize=SMALL, color=INK, gid="count", zorder=5,
                      bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.6})  # fmt: skip
    axes.set_ylim(0, 1.16 * top)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    span = edges[-1] - edges[0]
    axes.set_xlim(edges[0] - 0.01 * span, edges[-1] + 0.01 * span)
    if band is not None:
        left, right = max(band[0], axes.get_xlim()[0]), min(band[1], axes.get_xlim()[1])
        axes.axvspan(left, right, facecolor="#009E7314", edgecolor="#009E7355", hatch="////",
                     linewidth=0, zorder=0, gid="band")  # fmt: skip
        axes.text((left + right) / 2, 1.09 * top, "asked for", ha="center", va="center",
                  fontsize=SMALL, color=readable(OKABE_ITO["green"]), gid="band name")  # fmt: skip


def histogram_text(
    values: Sequence[float], *, what: str = "score", unit: str = "",
    band: tuple[float, float] | None = None,
) -> str:  # fmt: skip
    """Tell in words how a class's results are spread."""
    numbers = sorted(float(v) for v in values)
    of = f" {unit}" if unit else ""
    middle = statistics.median(numbers)
    spread_out = f"from {numbers[0]:.3g} to {numbers[-1]:.3g}{of}, median {middle:.3g}{of}"
    if band is None:
        return f"The {what} runs {spread_out}. There are {len(numbers)} results."
    inside = sum(band[0] <= v <= band[1] for v in numbers)
    return (
        f"{inside} of {len(numbers)} are within {band[0]:.3g} to {band[1]:.3g}{of}. "
        f"The {what} runs {spread_out}."
    )
