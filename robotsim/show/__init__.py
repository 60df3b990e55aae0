"""Show: a recording as pictures and words.  Reads recordings, and nothing but recordings.

Importing this package imports no drawing library; that happens when the first
picture is asked for.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from .console import console
from .targets import ArcTarget, BoxTarget, LineTarget, PointTarget, Target
from .words import alt_text

if TYPE_CHECKING:
    from .along import show_along
    from .colour_slider import slide_colour
    from .compose import figure
    from .decay_slider import slide_decay
    from .display import bundle, show, show_figure
    from .duty_slider import slide_duty
    from .files import png, save, svg
    from .gain_slider import show_laws, slide_gains
    from .heading_slider import slide_heading
    from .moving import gif, keep
    from .print_slider import slide_print
    from .pulse_slider import slide_pulse
    from .replay import Replay, show_replay
    from .results import histogram
    from .scope import scope_figure, show_scope
    from .scope_slider import slide_scope
    from .several import compare
    from .threshold_slider import slide_threshold

__all__ = [
    "ArcTarget",
    "BoxTarget",
    "LineTarget",
    "PointTarget",
    "Replay",
    "Target",
    "alt_text",
    "bundle",
    "compare",
    "console",
    "figure",
    "gif",
    "histogram",
    "keep",
    "png",
    "save",
    "scope_figure",
    "show",
    "show_along",
    "show_figure",
    "show_laws",
    "show_replay",
    "show_scope",
    "slide_colour",
    "slide_decay",
    "slide_duty",
    "slide_gains",
    "slide_heading",
    "slide_print",
    "slide_pulse",
    "slide_scope",
    "slide_threshold",
    "svg",
]

_LAZY = {
    "Replay": "replay",
    "bundle": "display",
    "compare": "several",
    "figure": "compose",
    "gif": "moving",
    "histogram": "results",
    "keep": "moving",
    "png": "files",
    "save": "files",
    "scope_figure": "scope",
    "show": "display",
    "show_along": "along",
    "show_figure": "display",
    "show_laws": "gain_slider",
    "show_replay": "replay",
    "show_scope": "scope",
    "slide_colour": "colour_slider",
    "slide_decay": "decay_slider",
    "slide_duty": "duty_slider",
    "slide_gains": "gain_slider",
    "slide_heading": "heading_slider",
    "slide_print": "print_slider",
    "slide_pulse": "pulse_slider",
    "slide_scope": "scope_slider",
    "slide_threshold": "threshold_slider",
    "svg": "files",
}


def __getattr__(name: str) -> Any:
    """Load a picture's module when the picture is first asked for."""
    if name not in _LAZY:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f".{_LAZY[name]}", __name__), name)
