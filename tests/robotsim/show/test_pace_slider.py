"""The pace slider tells what a real program came to; what cannot be tried is told."""

from __future__ import annotations

import math

import pytest

from robotsim import KitError, make_table
from robotsim.show.pace_slider import pace_figure, paced
from robotsim.table import stop_bars


def past_mm(effort: float, round_ms: int = 20) -> float:
    """Give where the eyes ended, worked out from the pose anew; the bar lies across x here."""
    made, table = paced(effort, round_ms), make_table("harbour")
    assert table.line
    x, y, way = table.line.at(stop_bars(table)[0])
    assert way == pytest.approx(0.0, abs=1e-9)
    return 1000 * (made.end[0] + 0.044 * math.cos(made.end[2]) - x)


def test_the_title_tells_what_came_of_it() -> None:
    made = paced(0.5)
    assert made.ended == "finished" and made.problem is None
    words = pace_figure(0.5).get_label()
    assert f"{made.ended_ns / 1e9:.1f} s" in words
    assert f"the eyes {abs(past_mm(0.5)):.0f} mm short of the middle of the bar" in words


def test_a_faster_tug_is_there_sooner_and_stops_farther_on() -> None:
    slow, fast = paced(0.4), paced(0.9)
    assert fast.ended_ns < 0.5 * slow.ended_ns
    assert past_mm(0.9) > past_mm(0.4) + 5


@pytest.mark.parametrize(("effort", "pause"), [(0.1, 20), (1.2, 20), (0.5, 0), (0.5, 200)])
def test_what_cannot_be_tried_is_told(effort: float, pause: int) -> None:
    with pytest.raises(KitError, match="cannot be tried"):
        paced(effort, pause)
