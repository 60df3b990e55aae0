"""Recordings of many kinds, for what must hold of every picture."""

from __future__ import annotations

import math
from types import SimpleNamespace

from robotsim.recording import Problem, Recording
from robotsim.show.targets import ArcTarget, BoxTarget, LineTarget, PointTarget
from robotsim.wiring import PINS
from tests.robotsim.show.recordings import OFF, Basin, at, drift, lamps, motors, recording

__all__ = ["HARBOUR", "SCENES", "TARGETS"]

TARGETS = (
    LineTarget((0.15, 0.4), (1.05, 0.4), "straight ahead", 0.05),
    ArcTarget((0.6, 0.4), 0.3, 0.3, 3.6, "circle of 0.3 m", 0.04),
    PointTarget(0.3, 0.12, "stop here", 0.05),
    BoxTarget(0.9, 0.05, 0.2, 0.15, "berth", 0.02),
)

_LOOP = tuple(
    (0.6 + 0.42 * math.cos(k / 50 * math.tau), 0.4 + 0.26 * math.sin(k / 50 * math.tau))
    for k in range(51)
)
HARBOUR = SimpleNamespace(
    name="harbour", width=1.2, height=0.8, start=(0.6, 0.14, 0.0), walls=True,
    prints=(SimpleNamespace(points=_LOOP, width=0.018, shade=0.06, name="quay line"),),
    dock=SimpleNamespace(x=1.05, y=0.62, heading=0.4, width=0.11, depth=0.1),
    float_start=(0.9, 0.5),
)  # fmt: skip


def _harbour() -> Recording:
    n = 2001
    events = [at(k / 2, "print", f"line {k} of the log\n") for k in range(40)]
    for k in range(0, 2000, 4):
        t = k / 100
        for eye in range(4):
            raw = int(2000 + 1800 * math.sin(2 * t + eye))
            events.append(at(t, "adc", PINS[f"eye_{eye}"], raw))
        bend = 0.2 * math.sin(2 * t)
        events += motors(t, (0.4 + bend, 0), (0.4 - bend, 0))
    return recording(
        seconds=20, program="harbour.py", table="harbour", legs=[(20, 0.08, 0.31)],
        start=(0.6, 0.14, 0.0), events=events, ended="time is up",
        more={"arm": tuple(0.6 * math.sin(k / 100) for k in range(n)),
              "float_x": tuple(0.9 + 0.02 * min(k / 100, 8) for k in range(n)),
              "float_y": tuple(0.5 + 0.015 * min(k / 100, 8) for k in range(n))},
    )  # fmt: skip


def _error() -> Recording:
    trouble = Problem("ValueError", "duty out of range", "drive.py", 12, "p.duty_u16(70000)")
    return recording(
        seconds=12, legs=[(9.0, 0.2, 0.7)], start=(0.6, 0.15, 0.0), ended="error", ended_s=7.25,
        problem=trouble,
        events=[*motors(0, (0.6, 1), (1, 0.1)), *motors(2, (1, 0.4), (0, 1)),
                *motors(5, (1, 1), (0.3, 0.2)), lamps(0.0), at(6.1, "touch", "wall", 0.2)],
    )  # fmt: skip


def _fade() -> Recording:
    frames = []
    for k in range(250):
        grey = abs(k % 100 - 50) * 5
        blink = (255, 255, 255) if k // 25 % 2 else OFF
        frames.append(lamps(k / 50, ((255, 0, 0), (0, 255, 0), (grey,) * 3, blink, (0, 0, 60))))
    return recording(events=frames, program="lamps.py", ended="time is up")


_BACK = [*motors(1, (0, 0.55), (0, 0.55)), *motors(3, (1, 1), (1, 1)),
         *motors(4, (1, 0.45), (1, 0.45)), *motors(5, (0, 0), (0, 0))]  # fmt: skip

SCENES = {
    "drift": (drift(), Basin(), TARGETS[:1]),
    "fade": (_fade(), Basin(), ()),
    "error": (_error(), Basin(), TARGETS[2:]),
    "harbour": (_harbour(), HARBOUR, ()),
    "no table": (recording(seconds=60, ended="time is up", start=(0.2, 0.2, 0.0), events=_BACK,
                           legs=[(10, 0.1, 0), (10, 0.1, 0.5), (20, -0.05, -0.2)]), None, ()),
    "spin": (recording(seconds=2.5, legs=[(2, 0, 0.8)], events=motors(0, (0, 0.5), (0.5, 0))),
             Basin(), ()),
    "stuck": (recording(events=motors(0.5, (0.1, 0), (0.1, 0))), Basin(), ()),
    "printed": (recording(events=[at(k / 10, "print", f"n = {k}\n") for k in range(9)]), None, ()),
    "nothing": (recording(), Basin(), ()),
    "back": (recording(seconds=6, legs=[(1, 0, 0), (2, -0.25, 0), (1, 0, 0), (1, 0.25, 0)],
                       start=(0.8, 0.4, 0.5), events=_BACK, ended_s=5.5), Basin(), ()),
    "odd text": (recording(program="$x^{_.py", ended="error", ended_s=0.0,
                           problem=Problem("SyntaxError", "\u4f60 $ \\frac", "$x^{_.py", 1, "\t(")),
                 None, ()),
}  # fmt: skip
