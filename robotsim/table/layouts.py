"""Layouts: the five tables of the harbour, each with held-out variants by seed.

Seed 0 is the table that lessons show.  Another seed changes what a learner's
program must not have counted on: radii, the wave, where the bars, the float
and the dock are, whether all is mirrored (left for right), and how dark the
ink is in the infrared.  All figures are invented.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable

from ..errors import KitError
from .floor import Floor
from .table import Dock, Pose, Print, Table
from .track import Track, bend, straight

__all__ = ["BLACK", "POOR_BLACK", "basin", "channel", "dock", "harbour", "quay"]

BLACK = 0.06
"""Share of infrared light that the print returns (drawing ink 4 to 6 %, from memory)."""
POOR_BLACK = 0.25
"""The same of an ink that looks as black and is not, in the infrared (invented; such inks
are known to differ widely there, transcription)."""

_WIDTH = 0.018
_BAR = 0.10
"""Length in m of a bar: the eyes cover 0.04 m."""
_EYES_AHEAD = 0.044
"""Distance in m of the line eyes ahead of the axle."""
_STRUCK = (0.083, 0.026)
"""The float, ahead and to port of a tug (m) whose arm is to strike it: clear of the hull even
if the tug stops 8 mm too far on, and within the paddle's swing if it stops 8 mm short."""
_GATE = (0.20, 0.14)
"""Width and depth of the dock in m: a full swing of the arm sends the float 0.2 m and more."""


class _Variant:
    """Draws what a seed varies; seed 0, or below, gives the values that lessons show."""

    def __init__(self, name: str, seed: int) -> None:
        if isinstance(seed, bool) or not isinstance(seed, int):
            raise KitError(
                f"The seed of a table is a whole number, not {seed!r}.",
                where=f"make_table({name!r}, {seed!r})",
                hint="take 0 for the table that the lessons show.",
            )
        self.shown = seed <= 0
        self._draw = random.Random(f"{name} {seed}").random
        self.lots: list[bool] = []
        self.mirrored = self.chance(0.5)
        self.ink = POOR_BLACK if self.chance(0.3) else BLACK

    def chance(self, share: float) -> bool:
        self.lots.append(self._draw() < share and not self.shown)
        return self.lots[-1]

    def between(self, shown: float, low: float, high: float) -> float:
        drawn = low + (high - low) * self._draw()
        return shown if self.shown else drawn


Stroke = tuple[str, Track, float]
"""Name, middle and width in m of what is painted."""


def _table(
    name: str, size: tuple[float, float], start: Pose, variant: _Variant,
    strokes: Iterable[Stroke] = (), dock: Dock | None = None,
    float_at: tuple[float, float] | None = None,
) -> Table:  # fmt: skip
    """Put a table together, mirrored if the variant is."""
    width, height = size
    strokes = list(strokes)
    if variant.mirrored:
        strokes = [(what, track.moved(0, 0, height / 2), wide) for what, track, wide in strokes]
        start = (start[0], height - start[1], -start[2])
        if dock:
            dock = Dock(dock.x, height - dock.y, -dock.heading, dock.width, dock.depth)
        if float_at:
            float_at = (float_at[0], height - float_at[1])
    ink = variant.ink
    return Table(
        name=name, width=width, height=height, start=start,
        prints=tuple(Print(track.points(), wide, ink, what) for what, track, wide in strokes),
        floor=Floor((track, wide, ink) for _, track, wide in strokes),
        dock=dock, float_start=float_at,
        line=next((track for what, track, _ in strokes if what == "quay line"), None),
        lots=tuple(variant.lots),
    )  # fmt: skip


def _centred(track: Track, size: tuple[float, float]) -> Track:
    low_x, low_y, high_x, high_y = track.bounds()
    return track.moved((size[0] - low_x - high_x) / 2, (size[1] - low_y - high_y) / 2)


def _across(line: Track, along: float, left: float, right: float) -> Track:
    """Lay a stroke across a line, from so far to its left to so far to its right (m)."""
    x, y, way = line.at(along)
    begin = (x - left * math.sin(way), y + left * math.cos(way), way - math.pi / 2)
    return Track.lay(begin, [straight(left + right)])


def _bar(line: Track, along: float) -> Stroke:
    return "stop bar", _across(line, along, _BAR / 2, _BAR / 2), _WIDTH


def basin(seed: int) -> Table:
    """Lay out an empty pen of 1.2 by 0.8 m with walls; all seeds are alike."""
    _Variant("basin", seed)
    return Table("basin")


def quay(seed: int) -> Table:
    """Lay out a closed loop: two wide corners, two narrow ones, and a bight that bends back."""
    vary, size = _Variant("quay", seed), (1.6, 1.2)
    wide, narrow = vary.between(0.30, 0.26, 0.33), vary.between(0.18, 0.15, 0.20)
    wide_side, high_side = vary.between(1.30, 1.20, 1.30), vary.between(0.88, 0.82, 0.90)
    side = wide_side - wide - narrow
    deep = math.degrees(math.asin(min(1.0, (side - 0.10) / (2 * (wide + narrow)))))
    angle = min(vary.between(40.0, 30.0, 44.0), deep)
    bight = 2 * (wide + narrow) * math.sin(math.radians(angle))
    before = vary.between(0.08, 0.05, 0.20)  # of the first side, behind the start
    legs = [
        straight(side - before), bend(wide, 90), straight(high_side - 2 * wide), bend(wide, 90),
        straight((side - bight) / 2),
        bend(narrow, angle), bend(wide, -2 * angle), bend(narrow, angle),
        straight((side - bight) / 2),
        bend(narrow, 90), straight(high_side - 2 * narrow), bend(narrow, 90), straight(before),
    ]  # fmt: skip
    line = _centred(Track.lay((0.0, 0.0, 0.0), legs, closed=True), size)
    return _table("quay", size, line.at(0.0), vary, [("quay line", line, _WIDTH)])


def channel(seed: int) -> Table:
    """Lay out a wavy line, a junction, a stop bar, and a second one at the line's end.

    After the wave the line is straight.  The side line leaves it at a right
    angle, so that the eyes of one side see it; a bar darkens all four.
    """
    vary, size = _Variant("channel", seed), (2.4, 0.9)
    radii = [
        vary.between(shown, 0.15, 0.25) for shown in (0.18, 0.24, 0.18, 0.24, 0.18)
    ]  # of the quarter waves at both ends and the half waves between
    lead = vary.between(0.22, 0.18, 0.28)
    reach = radii[0] + 2 * sum(radii[1:-1]) + radii[-1]
    angle = min(vary.between(50.0, 44.0, 58.0), math.degrees(math.asin(1.30 / reach)))
    wave = reach * math.sin(math.radians(angle))
    legs = [straight(lead), bend(radii[0], angle)]
    legs += [bend(r, (-2 if k % 2 == 0 else 2) * angle) for k, r in enumerate(radii[1:-1])]
    legs += [bend(radii[-1], angle if len(radii) % 2 else -angle)]
    last = 2.0 - lead - wave  # at least 0.42 m
    line = _centred(Track.lay((0.0, 0.0, 0.0), [*legs, straight(last)]), size)
    junction = line.length - last + vary.between(0.12, 0.08, 0.14)
    bar = junction + vary.between(0.16, 0.12, 0.17)
    to_port = not vary.chance(0.5)
    side = _across(line, junction, *((0.22, 0.0) if to_port else (0.0, 0.22)))
    strokes = [
        ("quay line", line, _WIDTH), ("side line", side, _WIDTH),
        _bar(line, bar), _bar(line, line.length - _WIDTH / 2),
    ]  # fmt: skip
    return _table("channel", size, line.at(0.06), vary, strokes)


def _dock_beside(
    tug: Pose, vary: _Variant, far: float, aside: float
) -> tuple[Dock, tuple[float, float], Stroke]:
    """Put a float to port of a tug's bow, and the dock that it is to be knocked into.

    Args:
        tug: Where the tug is to stand when its arm strikes.
        vary: The variant.
        far: From the float to the gate, in m.
        aside: The gate's middle ahead of the float, in m.

    Returns:
        The dock, where the float lies, and the scoring line in the gate.
    """
    x, y, heading = tug
    ahead = _STRUCK[0] + vary.between(0.0, -0.001, 0.002)
    port = _STRUCK[1] + vary.between(0.0, 0.0, 0.002)
    c, s = math.cos(heading), math.sin(heading)

    def place(ahead: float, port: float) -> tuple[float, float]:
        return x + ahead * c - port * s, y + ahead * s + port * c

    gate = place(ahead + aside, port + far)
    dock = Dock(*gate, heading + math.pi / 2, *_GATE)
    begin = place(ahead + aside - _GATE[0] / 2, port + far)
    line = Track.lay((*begin, heading), [straight(_GATE[0])])
    return dock, place(ahead, port), ("scoring line", line, 0.006)


def dock(seed: int) -> Table:
    """Lay out a float at the tug's bow, to port, and a dock abeam; never mirrored.

    A program has nothing by which to tell on which side the float lies.
    """
    vary, size = _Variant("dock", seed), (1.2, 0.8)
    vary.mirrored = False
    tug = (vary.between(0.50, 0.30, 0.75), vary.between(0.30, 0.20, 0.40), 0.0)
    berth, float_at, scoring = _dock_beside(
        tug, vary, vary.between(0.12, 0.10, 0.13), vary.between(-0.03, -0.045, -0.015)
    )
    return _table("dock", size, tug, vary, [scoring], berth, float_at)


def harbour(seed: int) -> Table:
    """Lay out all of it: a line from the start to a stop bar, the float there, the dock abeam.

    A half bar shortly before the stop bar, the side mark, lies on the side of
    the float and the dock.
    """
    vary, size = _Variant("harbour", seed), (2.0, 1.2)
    first, second = vary.between(0.25, 0.20, 0.30), vary.between(0.20, 0.16, 0.24)
    angle = vary.between(60.0, 50.0, 70.0)
    lead, last = vary.between(0.40, 0.35, 0.50), vary.between(0.45, 0.40, 0.50)
    legs = [
        straight(lead), bend(first, angle), bend(second, -angle - 20.0),
        bend(second, 20.0), straight(last),
    ]  # fmt: skip
    line = Track.lay((0.0, 0.0, 0.0), legs)
    low_x, low_y, high_x, high_y = line.bounds()
    line = line.moved(0.16 - low_x + vary.between(0.04, 0.0, 0.1), 0.30 - low_y)
    bar = line.length - _WIDTH / 2
    tug = line.at(bar - _EYES_AHEAD)  # stopped with the eyes on the bar
    berth, float_at, scoring = _dock_beside(
        tug, vary, vary.between(0.12, 0.10, 0.13), vary.between(-0.03, -0.04, -0.02)
    )
    mark = _across(line, bar - vary.between(0.15, 0.13, 0.18), _BAR / 2, 0.0)
    strokes = [
        ("quay line", line, _WIDTH), ("side mark", mark, _WIDTH), _bar(line, bar), scoring,
    ]  # fmt: skip
    return _table("harbour", size, line.at(0.06), vary, strokes, berth, float_at)
