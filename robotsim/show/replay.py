"""Replay: a recording that plays, scrubs, and steps from command to command.

`show_replay` puts a page into the notebook that plays with no kernel: in JupyterLab, Notebook 7
and an exported page alike, now and when the notebook is opened again.  `Replay` is the same player
as a widget, for whoever wants to lead it from Python or follow where it stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import anywidget
import traitlets

from ..recording import Recording
from ..table import make_table
from .display import bundle, can_draw
from .player import Mark, page, replay_data, script, style
from .targets import Target

__all__ = ["Replay", "replay_bundle", "show_replay"]


class Replay(anywidget.AnyWidget):
    """A recording that plays in the notebook, led from Python: set `at`, `playing`, `speed`.

    Args:
        recordings: One, or up to six of one table to lay over each other.
        labels: A short name for each.
        at: Where it begins, in s of simulated time.
        marks: Moments to point at: (s, words).
        targets: Where the tug should have gone.

    Raises:
        KitError: There are none or too many, labels are missing, the tables differ.
    """

    _esm = script()
    _css = style()
    packed = traitlets.Unicode().tag(sync=True)
    at = traitlets.Float(0.0).tag(sync=True)
    playing = traitlets.Bool(False).tag(sync=True)
    speed = traitlets.Float(1.0).tag(sync=True)

    def __init__(
        self, *recordings: Recording, labels: Sequence[str] = (), at: float = 0.0,
        marks: Sequence[Mark] = (), targets: Sequence[Target] = (),
    ) -> None:  # fmt: skip
        from .pack import packed

        data = replay_data(recordings, labels, at=at, marks=marks, targets=targets)
        self._fallback = {
            "text/html": page(data, _still(recordings, labels, targets)),
            "text/plain": _words(data),
        }
        super().__init__(packed=packed(data), at=at)

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        """Give the widget, and the page for where no kernel runs."""
        given = super()._repr_mimebundle_(**kwargs)
        view, metadata = given if isinstance(given, tuple) else (given or {}, {})
        return {**view, **self._fallback}, metadata


def replay_bundle(
    *recordings: Recording, labels: Sequence[str] = (), at: float = 0.0,
    marks: Sequence[Mark] = (), targets: Sequence[Target] = (),
) -> dict[str, str]:  # fmt: skip
    """Give what a notebook stores of a replay: the page as HTML, the findings as text.

    Args and raises: as `Replay`.
    """
    data = replay_data(recordings, labels, at=at, marks=marks, targets=targets)
    return {
        "text/html": page(data, _still(recordings, labels, targets)),
        "text/plain": _words(data),
    }


def show_replay(
    *recordings: Recording, labels: Sequence[str] = (), at: float = 0.0,
    marks: Sequence[Mark] = (), targets: Sequence[Target] = (),
) -> None:  # fmt: skip
    """Show a replay in the notebook.

    Args and raises: as `Replay`.
    """
    from IPython.display import display

    shown = replay_bundle(*recordings, labels=labels, at=at, marks=marks, targets=targets)
    display(shown, raw=True)  # type: ignore[no-untyped-call]


def _words(data: dict[str, Any]) -> str:
    many = len(data["runs"]) > 1
    return " ".join(
        (f"{run['label']}: " if many else "") + str(run["words"]) for run in data["runs"]
    )


def _still(
    recordings: Sequence[Recording], labels: Sequence[str], targets: Sequence[Target]
) -> str:
    """Give the still picture that stands where no script runs; "" where none can be drawn."""
    if not can_draw():
        return ""
    from .compose import figure
    from .several import compare

    table = make_table(recordings[0].table, recordings[0].seed)
    if len(recordings) == 1:
        drawn = figure(recordings[0], table=table, targets=targets)
    else:
        names = list(labels) or [recording.program for recording in recordings]
        drawn = compare(recordings, names, table=table, targets=targets)
    return str(bundle(drawn)["text/html"])
