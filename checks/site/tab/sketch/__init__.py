"""Sketch: a small drawer of SVG, which stands in for matplotlib where there is none.

It knows what the kit's sliders draw with, and nothing else, by matplotlib's names; a test compares
each slider's picture with matplotlib's own.  Lengths within are points, from the bottom left.
"""

from . import letters
from .axes import Axes
from .figure import Figure, FigureCanvasAgg, rc_context
from .limits import NoPicturesError
from .shapes import Arc, Circle, Rectangle, Wedge

__all__ = ["MODULES", "NoPicturesError"]

MODULES: dict[str, dict[str, object]] = {
    "matplotlib": {"font_manager": letters, "rc_context": rc_context},
    "matplotlib.axes": {"Axes": Axes},
    "matplotlib.backends.backend_agg": {"FigureCanvasAgg": FigureCanvasAgg},
    "matplotlib.figure": {"Figure": Figure},
    "matplotlib.patches": {"Arc": Arc, "Circle": Circle, "Rectangle": Rectangle, "Wedge": Wedge},
}  # fmt: skip
"""Modules of matplotlib's, and those of their names that there are."""
