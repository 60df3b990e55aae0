"""A class's results: every learner is counted once, and what is no number is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest

from robotsim.errors import KitError
from robotsim.show.results import histogram
from tests.robotsim.show.legible import artists


def test_bars_count_every_learner_once() -> None:
    scores = [0, 2.5, 5, 5, 7, 9.99, 10]
    (axes,) = histogram(scores, limits=(0, 10), bins=5, band=(5, 10)).axes
    bars = {round(p.get_x()): p.get_height() for p in axes.patches if p.get_gid() == "bar"}
    assert bars == {0: 1, 2: 1, 4: 2, 6: 1, 8: 2}  # numpy's rule: the last bar holds its end
    assert [t.get_text() for t in artists(axes, "count")] == ["1", "1", "2", "1", "2"]
    assert artists(axes, "median")[0].get_xdata()[0] == pytest.approx(np.median(scores))
    assert artists(axes, "band")[0].get_hatch()


def test_values_beyond_the_limits_stay_in_the_last_bars() -> None:
    (axes,) = histogram([-5, 3, 99], limits=(0, 10), bins=2).axes
    assert sum(p.get_height() for p in axes.patches) == 3


def test_a_class_is_told_in_words() -> None:
    told = str(histogram([1, 2, 3, 4], what="error", unit="cm", band=(0, 2.5)).get_label())
    assert told.startswith("2 of 4 are within 0 to 2.5 cm. The error runs from 1 to 4 cm")


@pytest.mark.parametrize("values", [[], [1, math.nan], [math.inf]])
def test_a_histogram_of_nothing_or_of_no_number_is_refused(values: list[float]) -> None:
    with pytest.raises(KitError, match="finite"):
        histogram(values)


def test_a_class_of_equals_can_be_drawn() -> None:
    assert histogram([7, 7, 7]).axes
