"""Texts are drawn where matplotlib's own renderer draws them, to a dot."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.font_manager import FontProperties

from robotsim.show.letters import Renderer
from robotsim.show.style import styled


def drawn(kind: type, text: str, prop: FontProperties, place: tuple[float, float], angle: float):
    """Give the size that a renderer tells of a text, and how opaque it makes each dot."""
    renderer = kind(300, 120, 130)
    pen = renderer.new_gc()
    pen.set_foreground((0.8, 0.4, 0.0, 1.0), isRGBA=True)
    size = renderer.get_text_width_height_descent(text, prop, False)
    renderer.draw_text(pen, *place, text, prop, angle)
    return size, np.asarray(renderer.buffer_rgba()).astype(float)


def middle(dots: np.ndarray) -> np.ndarray:
    weights = dots[..., 3]
    rows, columns = np.indices(weights.shape)
    return np.array([(weights * columns).sum(), (weights * rows).sum()]) / weights.sum()


@pytest.mark.parametrize("text", ["0.0", "−100", "left motor, duty in %", "gyp|", "Å □ …"])
@pytest.mark.parametrize("weight", ["normal", "bold"])
@pytest.mark.parametrize("place", [(60.0, 60.0), (60.4, 60.7), (60.6, 60.3)])
def test_a_text_is_as_large_and_stands_as_in_matplotlib(
    text: str, weight: str, place: tuple[float, float]
) -> None:
    prop = FontProperties(size=9.0, weight=weight)
    with styled():
        (size, ours), (wanted, theirs) = (
            drawn(kind, text, prop, place, 0) for kind in (Renderer, RendererAgg)
        )
    assert size == pytest.approx(wanted)
    assert np.abs(middle(ours) - middle(theirs)).max() < 1.0
    assert ours[..., 3].sum() == pytest.approx(theirs[..., 3].sum(), rel=0.06), "as bold"
    solid = ours[ours[..., 3] == 255]
    assert len(solid) and (solid[:, :3] == (204, 102, 0)).all(), "in its exact colour"


def test_what_does_not_lie_level_is_drawn_as_matplotlib_draws_it() -> None:
    with styled():
        (_, ours), (_, theirs) = (
            drawn(kind, "aside", FontProperties(size=9.0), (60.0, 90.0), 90)
            for kind in (Renderer, RendererAgg)
        )
    assert theirs.sum() > 0
    np.testing.assert_array_equal(ours, theirs)


@pytest.mark.parametrize("place", [(-20.0, 60.0), (290.0, 60.0), (60.0, -5.0), (60.0, 140.0)])
def test_a_text_beyond_the_edge_is_cut_off(place: tuple[float, float]) -> None:
    with styled():
        drawn(Renderer, "left motor", FontProperties(size=9.0), place, 0)
        drawn(Renderer, " ", FontProperties(size=9.0), place, 0)


def test_a_text_may_let_through_what_is_beneath() -> None:
    for kind in (Renderer, RendererAgg):
        renderer = kind(100, 50, 130)
        pen = renderer.new_gc()
        pen.set_foreground((0.0, 0.0, 0.0, 0.5), isRGBA=True)
        renderer.draw_text(pen, 10, 40, "HH", FontProperties(size=20), 0)
        assert np.asarray(renderer.buffer_rgba())[..., 3].max() == 128
