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
    from .compose import figure
    from .display import bundle, show, show_figure
    from .files import png, save, svg
    from .results import histogram
    from .several import compare

__all__ = [
    "ArcTarget",
    "BoxTarget",
    "LineTarget",
    "PointTarget",
    "Target",
    "alt_text",
    "bundle",
    "compare",
    "console",
    "figure",
    "histogram",
    "png",
    "save",
    "show",
    "show_figure",
    "svg",
]

_LAZY = {
    "bundle": "display",
    "compare": "several",
    "figure": "compose",
    "histogram": "results",
    "png": "files",
    "save": "files",
    "show": "display",
    "show_figure": "display",
    "svg": "files",
}


def __getattr__(name: str) -> Any:
    """Load a picture's module when the picture is first asked for."""
    if name not in _LAZY:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f".{_LAZY[name]}", __name__), name)
