"""Repeats: one program run several times, its paths on one plan and how far its ends lie apart."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ..recording import Recording
from .facts import journey

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from .scene import Table
    from .targets import Target

__all__ = ["Spread", "repeats_figure", "show_repeats", "spread_text"]


class Spread(NamedTuple):
    """Where several runs ended, as seen from their starts.

    Attributes:
        ahead, port: The mean end in m.
        turned: Mean of how far they turned, in rad, to port positive.
        along, across: Standard deviation of the ends in m, ahead and to the side.
        heading: Standard deviation of how far they turned, in rad.
    """

    ahead: float
    port: float
    turned: float
    along: float
    across: float
    heading: float

    @classmethod
    def of(cls, recordings: Sequence[Recording]) -> Spread:
        """Work it out; it takes two runs or more."""
        went = [journey(recording) for recording in recordings]
        ends = [one.ahead for one in went], [one.port for one in went], [one.turned for one in went]
        means, deviations = map(statistics.fmean, ends), map(statistics.stdev, ends)
        return cls(*means, *deviations)


def spread_text(recordings: Sequence[Recording]) -> str:
    """Tell in words where several runs ended on the mean, and how far apart."""
    found = Spread.of(recordings)
    way = "ahead" if found.ahead >= 0 else "astern"
    side = "port" if found.port >= 0 else "starboard"
    round_ = "port" if found.turned >= 0 else "starboard"
    return (
        f"{len(recordings)} runs ended on the mean {abs(found.ahead):.3f} m {way} and "
        f"{abs(found.port):.3f} m to {side} of the start, turned by "
        f"{abs(math.degrees(found.turned)):.1f} degrees to {round_}. They spread (standard "
        f"deviation) by {1000 * found.along:.0f} mm along, {1000 * found.across:.0f} mm across and "
        f"{math.degrees(found.heading):.1f} degrees in heading."
    )


def repeats_figure(
    recordings: Sequence[Recording], table: Table | None = None, targets: Sequence[Target] = ()
) -> Figure:
    """Draw the paths of two to six runs over each other: dashes, markers and names tell them apart.

    Args:
        recordings: What the runs left, all of one program on one table.
        table: The table.
        targets: Where the tug should have gone.
    """
    from .several import compare

    found = Spread.of(recordings)
    drawn = compare(
        recordings, [f"run {k}" for k in range(1, len(recordings) + 1)], strip="aside",
        table=table, targets=targets,
        title=f"The same program {len(recordings)} times: its ends spread by "
        f"{1000 * found.along:.0f} mm along, {1000 * found.across:.0f} mm across and "
        f"{math.degrees(found.heading):.1f}°",
    )  # fmt: skip
    drawn.set_label(f"{spread_text(recordings)} {drawn.get_label()}")
    return drawn


def show_repeats(
    recordings: Sequence[Recording], *, table: Table | None = None, targets: Sequence[Target] = (),
    replay: bool = False, at: float = 0.0,
) -> None:  # fmt: skip
    """Show several runs of a program in the notebook: their spread in words, and one picture.

    Args:
        recordings: The runs.
        table: The table they happened on.
        targets: Where the tug should have gone.
        replay: Whether to lay them over each other in a replay, in place of the picture.
        at: Where it begins, in s.
    """
    print(spread_text(recordings))
    if replay:
        from .replay import show_replay

        labels = [f"run {k}" for k in range(1, len(recordings) + 1)]
        show_replay(*recordings, labels=labels, targets=targets, at=at)
    else:
        from .display import show_figure

        show_figure(repeats_figure(recordings, table, targets))
