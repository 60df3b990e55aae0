"""Comparisons draw the numbers of their recordings, and refuse what cannot be compared."""

from __future__ import annotations

import math

import numpy as np
import pytest
from matplotlib.transforms import Bbox

from robotsim.errors import KitError, UnknownNameError
from robotsim.show.lines import MOST_RUNS
from robotsim.show.scene import HULL, print_points
from robotsim.show.several import CURVES, compare
from robotsim.table import TABLES, make_table
from tests.robotsim.show.legible import artists
from tests.robotsim.show.recordings import Basin, drift, recording
from tests.robotsim.show.scenes import TARGETS

STRAIGHT = recording(legs=[(0.3, 0, 0), (3.7, 0.22, 0)])
PAIR = ([drift(), STRAIGHT], ["as it is", "trimmed"])


def test_each_recording_has_its_path_dashes_markers_and_name() -> None:
    top, _ = compare(*PAIR, table=Basin(), targets=TARGETS[:1]).axes
    paths = artists(top, "path")
    for path, shown in zip(paths, PAIR[0], strict=True):
        np.testing.assert_array_equal(path.get_xdata(), shown.tracks["x"])
    assert len({str(p._dash_pattern) for p in paths}) == 2
    assert len({p.get_marker() for p in paths}) == 2
    assert [t.get_text() for t in artists(top, "path label")] == PAIR[1]
    assert len(artists(top, "start")) == 1, "a common start is drawn once"


@pytest.mark.parametrize("name", [*CURVES, "volts"])
def test_every_strip_can_be_chosen(name: str) -> None:
    _, strip = compare(*PAIR, strip=name).axes
    assert len(artists(strip, "curve")) == 2


def test_the_strip_shows_how_far_off_the_line_each_was() -> None:
    _, strip = compare(*PAIR, strip="aside").axes
    off, on = (curve.get_ydata()[-1] for curve in artists(strip, "curve"))
    radius = 0.22 / 0.07
    assert off == pytest.approx(radius * (1 - math.cos(0.07 * 3.7)), abs=1e-9)
    assert on == pytest.approx(0.0)


def test_names_of_tugs_that_lie_partly_on_each_other_stand_together_in_order() -> None:
    spots = [(0.6, 0.40, 0.0), (0.62, 0.42, 0.0), (0.6, 0.37, 0.0), (0.2, 0.2, 0.0)]
    drawn = compare([recording(start=spot) for spot in spots], list("abcd"), table=Basin())
    places = {name.get_text(): name.get_position() for name in artists(drawn.axes[0], "path label")}
    (left, high), second, third, apart = (places[name] for name in "abcd")
    assert second[0] == pytest.approx(left) == third[0] and high > second[1] > third[1]
    assert math.dist(apart, spots[3][:2]) < 0.15


@pytest.mark.parametrize("table", TABLES)
def test_names_of_tugs_that_lie_on_each_other_lie_on_nothing(table: str) -> None:
    floor = make_table(table)
    still = [recording(start=floor.start, table=table)] * MOST_RUNS
    drawn = compare(still, [f"run {k}" for k in range(1, MOST_RUNS + 1)], table=floor)
    drawn.canvas.draw()
    top, names = drawn.axes[0], artists(drawn.axes[0], "path label")
    lines = [floor.start[:2], *(point for points in print_points(floor) for point in points)]
    for name in names:
        box = name.get_window_extent().transformed(top.transData.inverted())
        assert not any(box.contains(*point) for point in lines), name.get_text()
        (u, v), half = floor.start[:2], HULL / math.sqrt(2)
        assert not box.overlaps(Bbox.from_extents(u - half, v - half, u + half, v + half))
    order = sorted(names, key=lambda name: (name.get_position()[0], -name.get_position()[1]))
    assert [name.get_text() for name in order] == [f"run {k}" for k in range(1, MOST_RUNS + 1)]


@pytest.mark.parametrize("strip", CURVES)
def test_a_tug_that_moved_by_next_to_nothing_is_not_shown_as_one_that_moved(strip: str) -> None:
    drawn = compare([recording(legs=[(0.1, 0.01, -0.3)])] * 2, ["one", "other"], strip=strip)
    drawn.canvas.draw()
    top, beside = drawn.axes
    (curve, _), (low, high) = artists(beside, "curve"), beside.get_ylim()
    assert np.abs(curve.get_ydata()[-1]) < 0.4 * (high - low)
    for tick in beside.get_yticklabels():
        assert tick.get_window_extent().x0 > top.get_window_extent().x1, tick.get_text()


def test_the_title_and_the_words_tell_how_far_apart_they_ended() -> None:
    drawn = compare(*PAIR)
    apart = math.dist(PAIR[0][0].end[:2], STRAIGHT.end[:2])
    assert drawn.texts[0].get_text() == f"As it is and trimmed ended {apart:.2f} m apart"
    assert "trimmed: ended 0.81 m ahead and 0.00 m to port" in str(drawn.get_label())


def test_bad_comparisons_are_refused_with_what_to_do() -> None:
    with pytest.raises(KitError, match="2 recordings and 1 labels"):
        compare(PAIR[0], ["one"])
    with pytest.raises(KitError, match="0 recordings"):
        compare([], [])
    with pytest.raises(KitError, match="7 recordings"):
        compare([STRAIGHT] * 7, ["x"] * 7)
    with pytest.raises(UnknownNameError, match="did you mean 'speed'"):
        compare(*PAIR, strip="sped")
