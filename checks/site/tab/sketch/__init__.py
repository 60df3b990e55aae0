"""Sketch: a small drawer of SVG, which stands in for matplotlib where there is none.

It knows what the kit's sliders and its scope draw with, and nothing else, by matplotlib's names; a
test compares each of these pictures with matplotlib's own.  Lengths within are points, from the
bottom left.
"""

import bisect
from collections.abc import Sequence

from . import letters
from .axes import Axes
from .figure import Figure, FigureCanvasAgg, rc_context
from .limits import NoPicturesError
from .shapes import Arc, Circle, Rectangle, Wedge

__all__ = ["MODULES", "NoPicturesError"]



def interp(x: float, xs: Sequence[float], ys: Sequence[float]) -> float:
    """Give what lies at x on the line through points, as numpy's function of that name does."""
    k = min(max(bisect.bisect_right(xs, x), 1), len(xs) - 1)
    share = (x - xs[k - 1]) / (xs[k] - xs[k - 1])
    return ys[k - 1] + min(max(share, 0.0), 1.0) * (ys[k] - ys[k - 1])


MODULES: dict[str, dict[str, object]] = {
    "numpy": {"interp": interp},
    "matplotlib": {"font_manager": letters, "rc_context": rc_context},
    "matplotlib.axes": {"Axes": Axes},
    "matplotlib.backends.backend_agg": {"FigureCanvasAgg": FigureCanvasAgg},
    "matplotlib.figure": {"Figure": Figure},
    "matplotlib.patches": {"Arc": Arc, "Circle": Circle, "Rectangle": Rectangle, "Wedge": Wedge},
}  # fmt: skip
"""Modules of matplotlib's, and those of their names that there are."""
