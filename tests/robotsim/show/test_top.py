"""The top view shows the recording's own numbers, to scale."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from robotsim.errors import KitError
from robotsim.show.compose import figure
from robotsim.show.overlay import target_points
from robotsim.show.scene import HULL, LAMP_PLACES
from robotsim.show.targets import ArcTarget, BoxTarget, LineTarget, PointTarget
from robotsim.show.top import extent_of
from robotsim.table import make_table
from tests.robotsim.show.recordings import Basin, arc, at, drift, lamps, motors, recording
from tests.robotsim.show.scenes import HARBOUR, SCENES, TARGETS


def top_of(drawn: Figure) -> Axes:
    return next(axes for axes in drawn.axes if axes.get_label() == "top view")


def by_gid(axes: Axes, gid: str) -> list:
    return [artist for artist in axes.get_children() if artist.get_gid() == gid]


def in_metres(axes: Axes, artist) -> np.ndarray:
    """Give the corners of a patch where they stand on the plan."""
    path = artist.get_transform().transform_path(artist.get_path())
    return axes.transData.inverted().transform(path.vertices)


def test_the_path_is_that_of_the_recording() -> None:
    shown = drift()
    (path,) = by_gid(top_of(figure(shown, table=Basin())), "path")
    np.testing.assert_array_equal(path.get_xdata(), shown.tracks["x"])
    np.testing.assert_array_equal(path.get_ydata(), shown.tracks["y"])


def test_both_axes_have_the_same_scale_and_show_the_whole_table() -> None:
    drawn = figure(drift(), table=Basin())
    axes = top_of(drawn)
    box = axes.get_position()
    (x0, x1), (y0, y1) = axes.get_xlim(), axes.get_ylim()
    across = box.width * drawn.get_figwidth() / (x1 - x0)
    assert across == pytest.approx(box.height * drawn.get_figheight() / (y1 - y0))
    assert x0 < 0 and x1 > 1.2 and y0 < 0 and y1 > 0.8


def test_the_tug_stands_to_scale_where_and_as_the_recording_ended() -> None:
    shown = drift()
    axes = top_of(figure(shown, table=Basin()))
    x, y, heading = shown.end
    (hull,) = by_gid(axes, "hull")
    round_ = hull.get_transform().transform_path(hull.get_path()).get_extents()
    low, high = axes.transData.inverted().transform(round_.get_points())
    # matplotlib draws a circle as eight curves that keep closely to it
    assert low == pytest.approx([x - HULL, y - HULL], abs=2e-4)
    assert high == pytest.approx([x + HULL, y + HULL], abs=2e-4)
    (bow,) = by_gid(axes, "bow")
    tip = in_metres(axes, bow)[0]
    assert math.atan2(tip[1] - y, tip[0] - x) == pytest.approx(heading)
    assert 2 * HULL == pytest.approx(0.116)


def test_lamps_glow_in_their_places_with_what_they_show_at_the_end() -> None:
    shown = recording(events=[lamps(0), *motors(0, (0.1, 0), (0.1, 0))], start=(0.5, 0.4, 0.0))
    axes = top_of(figure(shown, table=Basin()))
    found = by_gid(axes, "lamp")
    assert len(found) == 5
    for (ahead, port), lamp, rgb in zip(
        LAMP_PLACES, found, [(1, 0, 0), (0, 1, 0), (1, 1, 1)], strict=False
    ):
        middle = in_metres(axes, lamp).mean(axis=0)
        assert middle == pytest.approx([0.5 + ahead, 0.4 + port], abs=2e-3)
        assert lamp.get_facecolor()[:3] == pytest.approx(rgb)
    assert LAMP_PLACES[0][1] > 0 > LAMP_PLACES[1][1], "port is to the left of the bow"


def test_each_second_is_marked_where_the_tug_was_then() -> None:
    axes = top_of(figure(drift(), table=Basin()))
    middles = [np.mean(m.get_xydata(), axis=0) for m in by_gid(axes, "second")]
    wanted = [arc(0.15, 0.4, 0.0, 0.22, 0.07, second - 0.3)[:2] for second in (1, 2, 3)]
    np.testing.assert_allclose(middles, wanted, atol=1e-4)
    assert [t.get_text() for t in by_gid(axes, "second label")] == ["1 s", "2 s", "3 s"]


def test_a_long_run_has_fewer_times_than_marks() -> None:
    shown, table, _ = SCENES["harbour"]
    axes = top_of(figure(shown, table=table))
    times = [int(t.get_text().split()[0]) for t in by_gid(axes, "second label")]
    assert len(by_gid(axes, "second")) > len(times) >= 3
    assert all(t % 2 == 0 for t in times)


def test_start_is_a_ghost_and_shows_its_heading_when_the_tug_hides_it() -> None:
    axes = top_of(figure(drift(), table=Basin()))
    (ghost,) = by_gid(axes, "start")
    assert tuple(ghost.center) == (0.15, 0.4) and ghost.get_linestyle() != "solid"
    assert [t.get_text() for t in by_gid(axes, "start label")] == ["start"]
    spun, table, _ = SCENES["spin"]
    assert by_gid(top_of(figure(spun, table=table)), "start ray")


def test_arm_is_drawn_at_the_angle_it_has_at_the_end() -> None:
    shown, table, _ = SCENES["harbour"]
    axes = top_of(figure(shown, table=table))
    (arm,) = by_gid(axes, "arm")
    (x0, x1), (y0, y1) = arm.get_data()
    assert math.atan2(y1 - y0, x1 - x0) == pytest.approx(shown.tracks["arm"][-1])


def test_float_print_dock_and_walls_are_where_the_table_says() -> None:
    shown, table, _ = SCENES["harbour"]
    axes = top_of(figure(shown, table=table))
    (ball,) = by_gid(axes, "float")
    assert tuple(ball.center) == (shown.tracks["float_x"][-1], shown.tracks["float_y"][-1])
    assert 2 * ball.radius == pytest.approx(0.040)  # World Squash: 40 mm
    (line,) = by_gid(axes, "print")
    np.testing.assert_allclose(line.get_xydata(), HARBOUR.prints[0].points)
    inches = axes.get_position().width * 10 / np.ptp(axes.get_xlim())
    assert line.get_linewidth() / 72 == pytest.approx(0.018 * inches)
    (dock,) = by_gid(axes, "dock")
    corners = in_metres(axes, dock)[:4]
    gate = corners[[0, 3]].mean(axis=0)
    assert gate == pytest.approx([1.05, 0.62], abs=1e-9)
    inner = corners[[1, 2]].mean(axis=0)
    assert math.atan2(*(inner - gate)[::-1]) == pytest.approx(0.4)
    assert by_gid(axes, "walls")


def test_every_table_of_the_kit_can_be_drawn() -> None:
    from robotsim.table import TABLES

    for name in TABLES:
        table = make_table(name)
        drawn = figure(recording(legs=[(1, 0.1, 0)], start=table.start, table=name), table=table)
        assert len(by_gid(top_of(drawn), "print")) == len(table.prints)


def test_where_the_program_ended_and_what_was_touched_is_marked() -> None:
    shown = recording(
        legs=[(4, 0.2, 0)], ended_s=2.0, events=[at(3.0, "touch", "wall", 0.1)], seconds=4
    )
    axes = top_of(figure(shown, table=Basin()))
    (ended,) = by_gid(axes, "program ended")
    assert ended.get_xydata()[0] == pytest.approx([0.55, 0.4])
    (touched,) = by_gid(axes, "touched wall")
    assert touched.get_xydata()[0] == pytest.approx([0.75, 0.4])
    assert ended.get_marker() != touched.get_marker()


def test_targets_are_dashed_hatched_and_labelled() -> None:
    axes = top_of(figure(drift(), table=Basin(), targets=TARGETS))
    assert {t.get_text() for t in axes.texts if t.get_gid() == "target label"} == {
        "straight ahead", "circle of 0.3 m", "stop here", "berth"
    }  # fmt: skip
    bands = by_gid(axes, "tolerance")
    assert len(bands) == 4 and all(b.get_hatch() for b in bands)
    line = in_metres(axes, bands[0])
    assert np.ptp(line[:, 1]) == pytest.approx(0.1), "the band is twice the tolerance wide"


def test_points_of_a_target_lie_on_it() -> None:
    ring = target_points(ArcTarget((1.0, 2.0), 0.5, 0.0, math.pi))
    np.testing.assert_allclose(np.hypot(ring[:, 0] - 1, ring[:, 1] - 2), 0.5)
    np.testing.assert_allclose(ring[[0, -1]], [[1.5, 2.0], [0.5, 2.0]], atol=1e-12)
    assert len(target_points(PointTarget(1, 2))) == 1
    np.testing.assert_allclose(target_points(LineTarget((0, 0), (1, 1)))[[0, -1]], [[0, 0], [1, 1]])
    assert np.ptp(target_points(BoxTarget(0, 0, 2, 1)), axis=0) == pytest.approx([2, 1])


def test_what_is_no_target_is_refused_by_name() -> None:
    with pytest.raises(KitError, match="A str is no target"):
        figure(drift(), targets=["here"])  # type: ignore[list-item]


def test_on_the_dock_the_action_fills_the_picture() -> None:
    """A tug that stands and knocks: a whole table of 1.2 m would show it in a corner."""
    table = make_table("dock")
    x, y = table.float_start
    rows = 101
    tracks = {
        "t": [0.01 * k for k in range(rows)], "x": [x - 0.09] * rows, "y": [y] * rows,
        "heading": [0.0] * rows, "left": [0.0] * rows, "right": [0.0] * rows,
        "float_x": [x] * rows, "float_y": [y + 0.002 * k for k in range(rows)],
    }  # fmt: skip
    knocked = dataclasses.replace(
        drift(), tracks={name: tuple(column) for name, column in tracks.items()}, table="dock"
    )
    left, right, low, high = extent_of([knocked], table)
    assert right - left < 0.6 * table.width and high - low < 0.9 * table.height
    dock = table.dock
    assert left < x - 0.15 and right > dock.x and low < y and high > dock.y + dock.depth
    lain = dataclasses.replace(knocked, tracks={**knocked.tracks, "float_y": (y,) * rows})
    assert extent_of([lain], table)[1] > table.width
