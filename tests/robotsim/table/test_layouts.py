"""The tables: each variant can be driven, and differs where it should."""

import math

import numpy as np
import pytest

from robotsim.errors import KitError, UnknownNameError
from robotsim.table import TABLES, held_out, make_table, stop_bars
from robotsim.table.layouts import BLACK, POOR_BLACK
from robotsim.table.solids import Walls

HULL = 0.058
LINED = ("quay", "channel", "harbour")
SEEDS = range(51)


def middle(table, spacing=0.01):
    return [table.line.at(s) for s in np.arange(0.0, table.line.length, spacing)]


def where(table, name):
    return [p for p in table.prints if p.name == name]


@pytest.mark.parametrize("name", LINED)
def test_a_tug_on_the_line_stays_5_cm_clear_of_every_wall(name):
    for seed in SEEDS:
        table = make_table(name, seed)
        walls = Walls(table)
        for x, y, _ in middle(table):
            assert not walls.near(x, y, HULL + 0.05), (seed, x, y)


@pytest.mark.parametrize("name", LINED)
def test_no_bend_is_tighter_than_0_12_m_and_both_ways_occur(name):
    for seed in SEEDS:
        bends = [p.curvature for p in make_table(name, seed).line.pieces if p.curvature]
        assert max(map(abs, bends)) <= 1 / 0.12
        assert min(bends) < 0 < max(bends)


@pytest.mark.parametrize("name", LINED)
def test_the_line_does_not_come_near_itself(name):
    for seed in SEEDS:
        table = make_table(name, seed)
        points = np.array(middle(table, 0.02))[:, :2]
        apart = np.hypot(*np.moveaxis(points[:, None] - points, 2, 0))
        along = abs(np.arange(len(points))[:, None] - np.arange(len(points))) * 0.02
        if table.line.closed:
            along = np.minimum(along, table.line.length - along)
        assert apart[along > 0.2].min() > 0.14, seed


@pytest.mark.parametrize("name", LINED)
def test_the_line_is_smooth(name):
    for seed in SEEDS:
        line = make_table(name, seed).line
        ends = list(zip(line.pieces, line.pieces[1:], strict=False))
        ends += [(line.pieces[-1], line.pieces[0])] if line.closed else []
        for one, two in ends:
            x, y, way = one.at(one.length)
            assert math.dist((x, y), (two.x, two.y)) < 1e-9
            assert abs(math.remainder(way - two.heading, math.tau)) < 1e-9


@pytest.mark.parametrize("name", LINED)
def test_the_tug_starts_on_the_line_and_looks_along_it(name):
    for seed in SEEDS:
        table = make_table(name, seed)
        x, y, heading = table.start
        place = table.line.nearest(x, y)
        assert abs(place.offset) < 1e-12
        way = table.line.at(place.along)[2]
        assert abs(math.remainder(way - heading, math.tau)) < 1e-9
        for ahead in np.arange(0.0, 0.1, 0.01):  # a tenth of a metre ahead is straight
            assert table.floor(x + ahead * math.cos(way), y + ahead * math.sin(way)) < 0.5


@pytest.mark.parametrize("name", sorted(TABLES))
def test_all_that_is_on_a_table_lies_inside_it(name):
    for seed in SEEDS:
        table = make_table(name, seed)
        assert table.width <= 2.4 and table.height <= 1.6 and table.walls
        points = [p for stroke in table.prints for p in stroke.points]
        points += [table.float_start] if table.float_start else []
        points.append(table.start[:2])
        if (dock := table.dock) is not None:
            c, s = math.cos(dock.heading), math.sin(dock.heading)
            for inwards, aside in ((0, 1), (0, -1), (dock.depth, 1), (dock.depth, -1)):
                side = aside * dock.width / 2
                points.append((dock.x + inwards * c - side * s, dock.y + inwards * s + side * c))
        for x, y in points:
            assert 0.03 <= x <= table.width - 0.03 and 0.03 <= y <= table.height - 0.03
        assert not Walls(table).near(*table.start[:2], HULL + 0.05)


def test_quay_has_two_radii_of_its_own_and_closes():
    for seed in SEEDS:
        line = make_table("quay", seed).line
        radii = {round(1 / abs(p.curvature), 6) for p in line.pieces if p.curvature}
        assert line.closed and len(radii) == 2
    line = make_table("quay").line
    assert {round(1 / abs(p.curvature), 6) for p in line.pieces if p.curvature} == {0.30, 0.18}


def test_channel_has_wave_then_junction_then_bar_then_bar_at_the_end():
    for seed in SEEDS:
        table = make_table("channel", seed)
        wave_ends = table.line.length - table.line.pieces[-1].length
        (side,) = where(table, "side line")
        junction = table.line.nearest(
            *min(side.points, key=lambda p: abs(table.line.nearest(*p).offset))
        )
        assert abs(junction.offset) < 1e-9
        first, last = stop_bars(table)
        assert wave_ends + 0.05 < junction.along < first - 0.10 < last - 0.2
        assert last + 0.009 == pytest.approx(table.line.length)


def test_a_bar_darkens_four_eyes_and_a_junction_or_side_mark_only_one_side():
    for name, seed in (("channel", 0), ("channel", 7), ("harbour", 0), ("harbour", 1)):
        table = make_table(name, seed)

        def eyes(along, table=table):
            x, y, way = table.line.at(along)
            return [
                table.floor(x - a * math.sin(way), y + a * math.cos(way)) < 0.5
                for a in (0.018, 0.012, -0.012, -0.018)
            ]

        for bar in stop_bars(table):
            assert all(eyes(bar))
        (half,) = where(table, "side line") + where(table, "side mark")
        seen = eyes(max((table.line.nearest(*p) for p in half.points),
                        key=lambda place: -abs(place.offset)).along)  # fmt: skip
        assert seen in ([True, True, False, False], [False, False, True, True])


def test_the_float_lies_at_the_bow_of_a_tug_that_stopped_and_the_gate_abeam_of_it():
    for name, seed in [("dock", s) for s in SEEDS] + [("harbour", s) for s in SEEDS]:
        table = make_table(name, seed)
        if name == "dock":
            x, y, heading = table.start
        else:
            (bar,) = stop_bars(table)
            x, y, heading = table.line.at(bar - 0.044)
        dx, dy = table.float_start[0] - x, table.float_start[1] - y
        side = -1.0 if table.dock.heading < 0 else 1.0
        ahead = dx * math.cos(heading) + dy * math.sin(heading)
        abeam = side * (dy * math.cos(heading) - dx * math.sin(heading))
        assert math.hypot(ahead, abeam) > HULL + 0.020 + 0.006
        assert abeam > 0.022 and 0.058 < ahead < 0.088  # clear of the paddle, within its swing
        gate = table.dock
        inwards = (gate.x - table.float_start[0]) * math.cos(gate.heading)
        inwards += (gate.y - table.float_start[1]) * math.sin(gate.heading)
        assert 0.09 < inwards < 0.15
        if name == "dock":
            assert side == 1.0
        else:
            (mark,) = where(table, "side mark")
            far = max((table.line.nearest(*p).offset for p in mark.points), key=abs)
            assert math.copysign(1.0, far) == side


@pytest.mark.parametrize("name", LINED)
def test_variants_differ_and_each_seed_is_always_the_same(name):
    tables = [make_table(name, seed) for seed in SEEDS]
    assert len({table.line.length for table in tables}) == len(tables)
    assert [TABLES[name](seed) for seed in SEEDS] == tables
    mirrored = sum(table.start[1] > table.height / 2 for table in tables)
    assert name == "channel" or 10 < mirrored < 40
    poor = sum(table.prints[0].shade == POOR_BLACK for table in tables)
    assert 5 < poor < 25
    assert tables[0].prints[0].shade == BLACK and tables[0].start[2] == 0.0


def test_channel_waves_begin_either_way():
    first = [make_table("channel", seed).line.pieces[1].curvature > 0 for seed in SEEDS]
    assert first[0] and 10 < sum(first) < 41


def test_a_table_is_laid_out_once_and_one_of_the_same_name_is_not_taken_for_it(monkeypatch):
    assert make_table("quay", 3) is make_table("quay", 3)
    monkeypatch.setitem(TABLES, "quay", TABLES["basin"])
    assert make_table("quay", 3).name == "basin"


@pytest.mark.parametrize("seed", [1.0, "1", None, True])
def test_a_seed_that_is_no_whole_number_is_refused(seed):
    with pytest.raises(KitError, match="whole number"):
        make_table("quay", seed)


def test_an_unknown_table_names_the_nearest():
    with pytest.raises(UnknownNameError, match="did you mean 'quay'"):
        make_table("quai")


@pytest.mark.parametrize("name", TABLES)
@pytest.mark.parametrize("seed", [3, 4, 9])
def test_a_held_out_table_is_another_one_of_the_same_kind(name, seed):
    known = make_table(name, seed)
    assert held_out(name, seed, 0) == seed
    others = [held_out(name, seed, variant) for variant in (1, 2, 3)]
    assert len({seed, *others}) == 4
    for table in (make_table(name, other) for other in others):
        assert table.lots == known.lots
        assert [p.shade for p in table.prints] == [p.shade for p in known.prints]
        assert (table.start[1] > table.height / 2) == (known.start[1] > known.height / 2)
        assert name == "basin" or table != known
