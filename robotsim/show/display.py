"""Display: put a picture of a recording into a notebook, together with its words.

Neither JupyterLab 4.6 nor Notebook 7 gives a PNG output an alternative text:
they ignore the output's metadata, so their `<img>` has no `alt` (looked up in
both pages with a browser).  An HTML output keeps it, and so does the page
that nbconvert writes.  So the picture goes out as HTML that holds the PNG.
The same bundle has the words as plain text, which is all that a text
comparison of two runs should look at: the PNG's bytes may differ from machine
to machine.  `SANITIZE` is the rule that takes them out for nbval.
"""

from __future__ import annotations

import base64
import html
from collections.abc import Sequence
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from ..recording import Recording

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from .scene import Table
    from .targets import Target

__all__ = ["SANITIZE", "bundle", "can_draw", "show", "show_figure"]

SANITIZE = ("data:(?:image/png|application/zlib);base64,[A-Za-z0-9+/=]+", "PICTURE")
"""(regular expression, replacement) for the sanitize file of nbval."""

_DIM = '<style>[data-jp-theme-light="false"] .quay-picture { filter: brightness(0.72) }</style>'
"""In a dark theme white paper would glare; dimmed as a whole, colours and contrasts keep their
order, and lamps their hues."""
_DOTS, _PIXELS = 130, 100
"""Dots an inch that are drawn, and pixels an inch at which the page shows them."""


def can_draw() -> bool:
    """Tell whether there is what draws any picture; a browser's page may have a sketch for some."""
    found = find_spec("matplotlib")
    return found is not None and found.origin is not None


def bundle(drawn: Figure, *, quick: bool = False) -> dict[str, Any]:
    """Give a figure as what a notebook stores: its picture as HTML, its words as text.

    Args:
        drawn: A figure made by this package; its label holds its words.
        quick: Whether it is soon to be followed by another: a coarser picture is there sooner.
    """
    words = str(drawn.get_label())
    kind, data = _encoded(drawn, quick)
    picture = base64.b64encode(data).decode("ascii")
    width = round(drawn.get_figwidth() * _PIXELS)
    return {
        "text/html": (
            f'{_DIM}<img alt="{html.escape(words)}" class="quay-picture" width="{width}" '
            f'style="max-width: 100%; height: auto" src="data:image/{kind};base64,{picture}">'
        ),
        "text/plain": words,
    }


def _encoded(drawn: Figure, quick: bool) -> tuple[str, bytes]:
    """Give the kind of picture and its bytes."""
    if not can_draw():  # a sketch, which is made of lines and words
        return "svg+xml", drawn.svg().encode()  # type: ignore[attr-defined]
    from .files import png

    return "png", png(drawn, dots_per_inch=_PIXELS if quick else _DOTS, small=not quick)


def show_figure(drawn: Figure) -> None:
    """Show a figure of this package in the notebook."""
    from IPython.display import display

    display(bundle(drawn), raw=True)  # type: ignore[no-untyped-call]


def show(
    recording: Recording, *, table: Table | None = None, targets: Sequence[Target] = (),
    lines: bool = True,
) -> None:  # fmt: skip
    """Show a recording in the notebook: what was printed as text, the rest as one picture.

    Where none can be drawn, it is a replay that stands at its end.

    Args:
        recording: What to show.
        table: The table it happened on.
        targets: Where the tug should have gone.
        lines: Whether to print the console's lines with their times.
    """
    from .console import console

    if lines and (text := console(recording)):
        print(text)
    if not can_draw():
        from .replay import show_replay

        show_replay(recording, targets=targets, at=recording.seconds)
        return
    from .compose import figure

    show_figure(figure(recording, table=table, targets=targets))
