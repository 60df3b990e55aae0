"""The floor's print: right at every point, and fast."""

import math
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from robotsim.table import TABLES, make_table
from robotsim.table.floor import PAPER, Floor
from robotsim.table.track import Track, bend, straight


def from_the_drawing(table, points):
    """Shade by another way: distances to the drawn polylines; nan within 0.1 mm of an edge."""
    shades = np.full(len(points), PAPER)
    for stroke in table.prints:
        line = np.array(stroke.points)
        begin, step = line[:-1], np.diff(line, axis=0)
        share = ((points[:, None] - begin) * step).sum(2) / (step**2).sum(1)
        foot = begin + np.clip(share, 0, 1)[..., None] * step
        off = np.hypot(*np.moveaxis(points[:, None] - foot, 2, 0))
        # The ends of an open stroke are cut square.
        first, last = share[:, 0] * np.hypot(*step[0]), (share[:, -1] - 1) * np.hypot(*step[-1])
        closed = stroke.points[0] == stroke.points[-1]
        inside = np.full(len(points), True) if closed else (first > 0) & (last < 0)
        best = off.min(1)
        shades[(best <= stroke.width / 2) & inside] = stroke.shade
        edge = abs(best - stroke.width / 2) < 1e-4
        if not closed:
            edge |= (np.minimum(abs(first), abs(last)) < 1e-4) & (best < stroke.width)
        shades[edge] = np.nan
    return shades


@pytest.mark.parametrize("seed", [0, 3, 4])
@pytest.mark.parametrize("name", sorted(TABLES))
def test_the_floor_is_what_the_drawing_shows(name, seed):
    table = make_table(name, seed)
    draw = np.random.default_rng(seed)
    points = draw.uniform((0, 0), (table.width, table.height), (2000, 2))
    for stroke in table.prints:  # most of them about the strokes
        near = np.array(stroke.points)[draw.integers(0, len(stroke.points), 800)]
        points = np.vstack([points, near + draw.normal(0, 0.012, near.shape)])
    wanted = from_the_drawing(table, points)
    sure = ~np.isnan(wanted)
    found = np.array([table.floor(float(x), float(y)) for x, y in points])
    assert sure.mean() > 0.9
    assert (found[sure] == wanted[sure]).all()


@pytest.mark.parametrize("name", sorted(TABLES))
def test_where_a_spot_is_told_to_be_even_each_of_its_points_has_that_shade(name):
    """And it is told so of most spots that are."""
    table, draw = make_table(name, 3), random.Random(name)
    told = missed = 0
    for stroke in table.prints:
        for _ in range(1500):
            x, y = draw.choice(stroke.points)
            x, y = x + draw.gauss(0.0, 0.012), y + draw.gauss(0.0, 0.012)
            even = table.floor.even(x, y, 0.002)
            ways = [math.tau * k / 24 for k in range(24)]
            ring = [(x + 0.002 * math.cos(way), y + 0.002 * math.sin(way)) for way in ways]
            shades = {table.floor(*point) for point in [(x, y), *ring]}
            told += even is not None
            missed += even is None and len(shades) == 1
            assert even is None or shades == {even}, (x, y)
    assert missed <= told / 3


def test_an_arc_is_exact_to_the_micrometre():
    floor = Floor([(Track.lay((0.5, 0.2, 0.0), [bend(0.3, 150)]), 0.018, 0.06)])
    for angle in np.linspace(0.001, math.radians(149.9), 200):
        for radius, shade in ((0.290999, PAPER), (0.291001, 0.06), (0.308999, 0.06),
                              (0.309001, PAPER)):  # fmt: skip
            x, y = 0.5 + radius * math.sin(angle), 0.5 - radius * math.cos(angle)
            assert floor(x, y) == shade


def test_no_slit_where_pieces_join():
    table = make_table("quay")
    begin = 0.0
    for piece in table.line.pieces:
        for nudge in (-1e-12, 0.0, 1e-12):
            x, y, way = table.line.at(begin + nudge)
            for aside in (-0.0089, 0.0, 0.0089):
                shade = table.floor(x - aside * math.sin(way), y + aside * math.cos(way))
                assert shade == 0.06
        begin += piece.length


def test_the_darkest_of_crossing_strokes_shows():
    one = Track.lay((0.0, 0.5, 0.0), [straight(1.0)]), 0.018, 0.25
    two = Track.lay((0.5, 0.0, math.pi / 2), [straight(1.0)]), 0.018, 0.06
    floor = Floor([one, two])
    assert (floor(0.5, 0.5), floor(0.3, 0.5), floor(0.5, 0.3)) == (0.06, 0.25, 0.06)


@settings(deadline=None)
@given(st.floats(-9, 9), st.floats(-9, 9))
def test_beyond_the_table_lies_paper(x, y):
    table = make_table("quay")
    if not (0 <= x <= table.width and 0 <= y <= table.height):
        assert table.floor(x, y) == PAPER


@pytest.mark.parametrize("name", ["quay", "channel"])
def test_a_look_at_the_floor_compares_with_few_pieces_and_finds_them_once(name, monkeypatch):
    """How long a look takes is told by tests/benchmarks."""
    table = make_table(name)
    floor, looked = table.floor, []
    look = Floor._look
    monkeypatch.setattr(Floor, "_look", lambda self, key: looked.append(key) or look(self, key))
    draw = random.Random(1)
    for k in range(4000):
        x, y, way = table.line.at(k / 4000 * table.line.length)
        aside = draw.uniform(-0.02, 0.02)
        for _ in range(2):
            floor(x - aside * math.sin(way), y + aside * math.cos(way))
    assert len(looked) == len(set(looked))
    pieces = [len(cell) for cell in floor._cells.values()]
    assert sum(pieces) / len(pieces) < 2.0 and max(pieces) <= 6
