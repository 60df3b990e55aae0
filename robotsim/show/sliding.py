"""Sliding: a picture and the controls that choose what it shows.

The picture is an output of its own, which the controls replace.  So it stays in the notebook with
the last setting, and can be read wherever no kernel runs: in JupyterLab opened again, in a page
that nbconvert wrote, with or without a network.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from matplotlib.figure import Figure

from .controls import Choice, Controls, Knob, Span
from .display import bundle, can_draw
from .stage import Stage, on_stage

__all__ = ["Choice", "Span", "slide"]

_BARE = "Sliders: run this cell to move them."


def slide(draw: Callable[..., Figure], *knobs: Knob) -> None:
    """Show in the notebook what a drawing makes of some settings, with controls to move them.

    Args:
        draw: Makes the figure from the settings, given by name.
        knobs: What can be set.
    """
    from IPython.display import display

    first = bundle(draw(**{knob.name: knob.value for knob in knobs}))
    picture = display(first, raw=True, display_id=True)  # type: ignore[no-untyped-call]
    stages: list[Stage] | None = [] if can_draw() else None  # a sketch is quick enough

    def moved(**settings: Any) -> None:
        with on_stage(stages):
            picture.update(bundle(draw(**settings), quick=True), raw=True)

    made = Controls(knobs, moved)._repr_mimebundle_()
    view = made[0] if isinstance(made, tuple) else made
    display({**(view or {}), "text/plain": _BARE}, raw=True)  # type: ignore[no-untyped-call]
