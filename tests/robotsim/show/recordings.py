"""Recordings made by hand, whose every number is known in closed form."""

from __future__ import annotations

import math
from collections.abc import Sequence

from robotsim.recording import Event, Problem, Recording
from robotsim.units import SECOND, ns
from robotsim.wiring import PINS

TRACK = 0.092
OFF = (0, 0, 0)
SIDELIGHTS = ((255, 0, 0), (0, 255, 0), (255, 255, 255), OFF, OFF)


def recording(
    *,
    seconds: float = 5.0,
    legs: Sequence[tuple[float, float, float]] = (),
    start: tuple[float, float, float] = (0.15, 0.4, 0.0),
    events: Sequence[Event] = (),
    ended: str = "finished",
    ended_s: float | None = None,
    problem: Problem | None = None,
    program: str = "drive.py",
    table: str = "basin",
    more: dict[str, tuple[float, ...]] | None = None,
) -> Recording:
    """Give a recording of a tug that runs through legs of steady speed and rate of turn.

    `legs` are (duration in s, speed in m/s, rate of turn in rad/s), one after the other;
    then the tug stands.  Each leg is an exact arc.  `more` are further tracks.
    """
    n = round(seconds * 100) + 1
    times = tuple(k / 100 for k in range(n))
    rows = [_pose(t, start, legs) for t in times]
    tracks = {
        "t": times,
        "x": tuple(r[0] for r in rows),
        "y": tuple(r[1] for r in rows),
        "heading": tuple(r[2] for r in rows),
        "left": tuple(r[3] - r[4] * TRACK / 2 for r in rows),
        "right": tuple(r[3] + r[4] * TRACK / 2 for r in rows),
        "volts": tuple(4.8 - 0.4 * (abs(r[3]) > 0) for r in rows),
        "amps": tuple(0.3 * (abs(r[3]) > 0) for r in rows),
        **(more or {}),
    }
    return Recording(
        program=program, files={program: "pass\n"}, table=table, serial=0, seed=0,
        seconds=seconds, engine="by hand", ended=ended,
        ended_ns=ns(seconds if ended_s is None else ended_s), problem=problem,
        events=tuple(sorted(events, key=lambda e: e.time_ns)), tracks=tracks,
    )  # fmt: skip


def _pose(
    t: float, start: tuple[float, float, float], legs: Sequence[tuple[float, float, float]]
) -> tuple[float, float, float, float, float]:
    x, y, heading = start
    speed = turn = 0.0
    for duration, speed, turn in legs:
        run = min(t, duration)
        x, y, heading = arc(x, y, heading, speed, turn, run)
        t -= run
        if t <= 0:
            return x, y, heading, speed, turn
    return x, y, heading, 0.0, 0.0


def arc(
    x: float, y: float, heading: float, speed: float, turn: float, time: float
) -> tuple[float, float, float]:
    """Move along an exact arc of steady speed and rate of turn."""
    after = heading + turn * time
    if abs(turn) < 1e-9:
        return x + speed * time * math.cos(heading), y + speed * time * math.sin(heading), after
    radius = speed / turn
    return (
        x + radius * (math.sin(after) - math.sin(heading)),
        y - radius * (math.cos(after) - math.cos(heading)),
        after,
    )


def at(time: float, kind: str, *data: object) -> Event:
    """Give an event at a time in seconds."""
    return Event(round(time * SECOND), kind, data)


def motors(
    time: float, left: tuple[float, float], right: tuple[float, float], freq: int = 1000
) -> list[Event]:
    """Give the events that put duties (ahead, back) on both motors."""
    roles = ("left_ahead", "left_back", "right_ahead", "right_back")
    pairs = zip(roles, (*left, *right), strict=True)
    return [at(time, "pwm", PINS[role], freq, round(duty * 65535)) for role, duty in pairs]


def lamps(time: float, colours: Sequence[tuple[int, int, int]] = SIDELIGHTS) -> Event:
    """Give the event of a frame that the lamps show from then on."""
    return at(time, "lamps", tuple(colours))


def drift() -> Recording:
    """Drive for four seconds in a wide arc to port, with sidelights on, then stand."""
    return recording(
        legs=[(0.3, 0.0, 0.0), (3.7, 0.22, 0.07)],
        events=[lamps(0.1), *motors(0.3, (0.55, 0), (0.6, 0)), *motors(4.0, (0, 0), (0, 0)),
                lamps(4.0, (OFF, OFF, (255, 160, 0), OFF, (20, 20, 20))),
                at(0.25, "print", "hello\n"), at(2.0, "print", "half way, $5 \u4f60 [x^{\n"),
                at(4.0, "print", "stop\n")],
        ended_s=4.0,
    )  # fmt: skip


class Basin:
    """A plain walled table, as robotsim.table would describe it."""

    name = "basin"
    width, height = 1.2, 0.8
    start = (0.15, 0.4, 0.0)
    walls = True
    prints = ()
    dock = None
    float_start = None
