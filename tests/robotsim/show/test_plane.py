"""Axes that do not look for their limits draw the same dots as matplotlib's own."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.patches import Circle

from robotsim.show.plane import Plane
from robotsim.show.style import new_figure, styled


def dots(kind: type[Axes], ticks: bool, label: str) -> np.ndarray:
    with styled():
        drawn = new_figure(2.0, 1.5)
        axes = drawn.add_axes((0.2, 0.2, 0.7, 0.7), axes_class=kind)
        axes.set_xlim(-1.0, 2.0)
        axes.set_ylim(-3.0, 3.0)
        axes.set_xticks([0.0, 1.5] if ticks else [], ["0", "1.5 s"] if ticks else [])
        axes.set_yticks([-2.0, 2.0] if ticks else [])
        axes.tick_params(axis="y", length=2, pad=2)
        axes.set_xlabel(label)
        axes.plot([-5.0, 5.0], [0.0, 9.0], "o-", color="C1")
        axes.axvline(0.5, color="C2")
        axes.add_patch(Circle((0.0, 0.0), 0.8, color="C3"))
        axes.add_collection(LineCollection([[(0.0, -9.0), (1.0, 9.0)]], colors="C4"))
        drawn.canvas.draw()
        assert axes.get_xlim() == (-1.0, 2.0) and axes.get_ylim() == (-3.0, 3.0)
        return np.asarray(drawn.canvas.buffer_rgba()).copy()  # type: ignore[attr-defined]


@pytest.mark.parametrize(("ticks", "label"), [(True, ""), (True, "time"), (False, "")])
def test_a_plane_draws_the_same_dots(ticks: bool, label: str) -> None:
    np.testing.assert_array_equal(dots(Plane, ticks, label), dots(Axes, ticks, label))
