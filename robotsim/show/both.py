"""Both: two tugs that were on one table at once, in the notebook."""

from __future__ import annotations

from collections.abc import Sequence

from ..recording import Recording
from ..table import make_table
from .console import console
from .targets import Target

__all__ = ["meetings", "show_both"]


def show_both(
    recordings: Sequence[Recording], targets: Sequence[Target] = (), *, replay: bool = False,
    at: float = 0.0,
) -> None:  # fmt: skip
    """Show what two tugs on one table printed and did.

    Args:
        recordings: Of the two.
        targets: Where they should have gone.
        replay: Whether to show a replay in place of a picture.
        at: Where it begins, in s.
    """
    labels = [recording.tug for recording in recordings]
    for recording, label in zip(recordings, labels, strict=True):
        if text := console(recording):
            print(f"{recording.program} on {label}:\n{text}")
    print(meetings(recordings))
    if replay:
        from .replay import show_replay

        show_replay(*recordings, labels=labels, targets=targets, at=at)
    else:
        from .display import show_figure
        from .several import compare

        table = make_table(recordings[0].table, recordings[0].seed)
        show_figure(compare(recordings, labels, table=table, targets=targets))


def meetings(recordings: Sequence[Recording]) -> str:
    """Tell in words how often two tugs on one table bumped into each other."""
    times = [event.seconds for event in recordings[0].of("touch") if event.what == "tug"]
    names = " and ".join(recording.tug for recording in recordings)
    names = names[0].upper() + names[1:]
    if not times:
        return f"{names} never touched."
    often = "once" if len(times) == 1 else f"{len(times)} times"
    return f"{names} bumped into each other {often}, the first time at {times[0]:.2f} s."
