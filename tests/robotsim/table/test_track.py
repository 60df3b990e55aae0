"""Tracks: where a point is along a line, exact on arcs."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from robotsim.errors import KitError
from robotsim.table import along_line, distance_to_line, make_table, stop_bars
from robotsim.table.track import Track, bend, straight

LEGS = st.lists(
    st.one_of(
        st.builds(straight, st.floats(0.05, 0.5)),
        st.builds(
            bend,
            st.floats(0.12, 0.4),
            st.floats(5, 180).flatmap(lambda a: st.sampled_from([a, -a])),
        ),
    ),
    min_size=1,
    max_size=6,
)


def test_offset_and_progress_on_an_arc_are_exact():
    track = Track.lay((0.0, 0.0, 0.0), [straight(0.5), bend(0.3, 90)])
    for angle, radius in ((0.1, 0.27), (0.8, 0.3), (1.5, 0.36)):  # about the centre (0.5, 0.3)
        place = track.nearest(0.5 + radius * math.sin(angle), 0.3 - radius * math.cos(angle))
        assert place.along == pytest.approx(0.5 + 0.3 * angle, abs=1e-12)
        assert place.offset == pytest.approx(0.3 - radius, abs=1e-12)  # left is inwards here


def test_left_is_positive_on_a_bend_to_the_right_as_well():
    track = Track.lay((0.0, 0.0, 0.0), [bend(0.3, -90)])
    x, y, way = track.at(0.2)
    place = track.nearest(x - 0.02 * math.sin(way), y + 0.02 * math.cos(way))
    assert place.offset == pytest.approx(0.02) and place.along == pytest.approx(0.2)


def test_beyond_an_open_end_the_distance_is_to_the_end():
    track = Track.lay((0.0, 0.0, 0.0), [straight(1.0)])
    assert track.nearest(1.3, -0.4) == (1.0, pytest.approx(-0.5))
    assert track.nearest(-0.3, 0.4) == (0.0, pytest.approx(0.5))


@settings(deadline=None)
@given(LEGS, st.floats(-1, 1), st.floats(-1, 1))
def test_nearest_agrees_with_a_fine_search(legs, x, y):
    track = Track.lay((0.0, 0.0, 0.3), legs)
    place = track.nearest(x, y)
    points = np.array([track.at(s)[:2] for s in np.linspace(0, track.length, 700)])
    least = np.hypot(points[:, 0] - x, points[:, 1] - y).min()
    spacing = track.length / 699
    assert least - spacing <= abs(place.offset) <= least + 1e-9
    assert math.dist(track.at(place.along)[:2], (x, y)) == pytest.approx(
        abs(place.offset), abs=1e-9
    )


@settings(deadline=None)
@given(LEGS, st.lists(st.tuples(st.floats(-0.3, 0.3), st.floats(-0.3, 0.3)), max_size=40))
def test_places_of_a_way_are_the_nearest_ones(legs, steps):
    track = Track.lay((0.0, 0.0, 0.0), legs)
    way = [(x, y) for x, y in np.cumsum([(0.0, 0.0), *steps], axis=0).tolist()]
    assert track.places(way) == [track.nearest(x, y) for x, y in way]


@settings(deadline=None)
@given(LEGS, st.lists(st.floats(-1.0, 9.0), max_size=20), st.booleans())
def test_the_way_of_the_line_is_that_of_its_poses(legs, lengths, closed):
    track = Track.lay((0.1, 0.2, 0.3), legs, closed)
    joints = [sum(length for length, _ in legs[:k]) for k in range(len(legs) + 1)]
    for along in (*lengths, *joints):
        assert track.way(along) == track.at(along)[2]


@settings(deadline=None)
@given(LEGS)
def test_pieces_join_without_a_step_or_a_kink(legs):
    track = Track.lay((0.2, 0.1, -1.0), legs)
    for one, two in zip(track.pieces, track.pieces[1:], strict=False):
        assert one.at(one.length) == pytest.approx((two.x, two.y, two.heading), abs=1e-12)
    assert track.length == pytest.approx(sum(length for length, _ in legs))


def test_progress_counts_rounds_and_going_back():
    table = make_table("quay")
    length = table.line.length
    there = [table.line.at(s)[:2] for s in np.arange(0.0, 2.2 * length, 0.05)]
    back = [table.line.at(s)[:2] for s in np.arange(2.2 * length, 1.1 * length, -0.05)]
    covered = table.line.progress(there + back)
    assert covered[len(there) - 1] == pytest.approx(2.2 * length, abs=0.05)
    assert covered[-1] == pytest.approx(1.1 * length, abs=0.05)


def test_the_table_gives_offset_progress_and_bars_of_its_line():
    table = make_table("channel")
    x, y, way = table.line.at(0.7)
    left = (x - 0.01 * math.sin(way), y + 0.01 * math.cos(way))
    assert distance_to_line(table, *left) == pytest.approx(0.01)
    assert along_line(table, *left) == pytest.approx(0.7)
    bars = stop_bars(table)
    assert len(bars) == 2 and bars[1] == pytest.approx(table.line.length - 0.009)


@pytest.mark.parametrize("ask", [distance_to_line, along_line])
def test_a_table_without_a_line_says_so(ask):
    with pytest.raises(KitError, match="'basin' has no line"):
        ask(make_table("basin"), 0.1, 0.1)
