"""Tasks of the lesson `arm`: pulse arithmetic, sweep and hold, knock the float into the dock."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from robotsim import Recording, make_table
from robotsim.show.targets import BoxTarget

from ...readings.arm import angles, between, held, off_line, strike, trains, us_of
from ...readings.motion import at_rest, still_driven
from ...task import Criterion, Finding, Run, Task, share
from ..turn.evidence import motors, which
from . import mistakes as known
from .ways import (
    ASKED,
    FAR,
    GAUGE,
    SIDE,
    SLOWEST_S,
    UPRIGHT,
    Station,
    on_stop,
    pulses_end,
    stations,
    swing,
    swings,
    way_across,
    way_back,
)

__all__ = ["TASKS"]

Recordings = Sequence[Recording]
Judged = tuple[float, str, float | None]
"""What one recording earns as a share, what was measured in it, and when to look."""


def _mean(judge: Callable[[Recording], Judged], asked: str) -> Callable[[Recordings], Finding]:
    """Judge each recording; tell the worst, and give the mean."""

    def judged(recordings: Recordings) -> Finding:
        found = [judge(recording) for recording in recordings]
        worst = min(range(len(found)), key=lambda k: found[k][0])
        part, measured, at = found[worst]
        mean = sum(got for got, _, _ in found) / len(found)
        return Finding(mean, which(recordings, worst) + measured, asked, at, worst)

    return judged


# -- arm.pulses --------------------------------------------------------------

PULSE_FULL, PULSE_NONE = 6.0, 60.0
"""In us; the board itself allows no more than 6 us of rounding on its finest scale."""
NEAR_DEG = 5.0
"""Trim (up to 3.6 degrees), dead band (0.45) and rounding."""
HOLD_S = 0.8


def _hears(recording: Recording) -> Judged:
    time = sum(train.seconds for train in trains(recording) if train.heard)
    swept = max(angles(recording)) - min(angles(recording))
    part = min(1.0, time / 2.0) if swept > 10.0 else 0.0
    return part, f"it heard pulses for {time:.1f} s and swung through {swept:.0f} degrees", None


def _fifty(recording: Recording) -> Judged:
    given = [train for train in trains(recording, 0.05) if train.number]
    total = sum(train.seconds for train in given)
    right = sum(train.seconds for train in given if 45.0 <= train.freq_hz <= 55.0)
    others = sorted({f"{t.freq_hz:g}" for t in given if not 45.0 <= t.freq_hz <= 55.0})
    part = right / total if total else 0.0
    words = f"also {', '.join(others)}" if others and right else ", ".join(others)
    return part, f"{words or 50} a second" if total else "no pulses", None


def _station(number: int) -> Callable[[Recording], Judged]:
    def judge(recording: Recording) -> Judged:
        station, angle = stations(recording)[number], ASKED[number]
        if station is None:
            return 0.0, "no such order, or for less than 0.4 s", None
        off = station.us - us_of(angle)
        part = share(abs(off), full=PULSE_FULL, none=PULSE_NONE)
        words = f"{station.us:.1f} us came out; the arm stood at {station.angle:.1f} degrees"
        if number == 2 and station.number % 64:
            part, words = part / 2, words + "; `duty` cannot make this pulse"
        return part, words, station.begin

    return judge


def _asked(number: int, way: str) -> str:
    return f"{us_of(ASKED[number]):.0f} us, within {PULSE_FULL:g}, by `{way}`"


def _time_for_each(recording: Recording) -> Judged:
    times = [_stood(recording, s, a) for s, a in zip(stations(recording), ASKED, strict=True)]
    part = sum(min(1.0, time / HOLD_S) for time in times) / len(times)
    words = ", ".join(f"{time:.1f}" for time in times)
    return part, f"the arm stood at the three angles for {words} s", None


def _stood(recording: Recording, station: Station | None, angle: float) -> float:
    return held(recording, angle, NEAR_DEG, station.begin, station.end) if station else 0.0


PULSES = Task(
    id="arm.pulses",
    title="Three angles, three scales",
    program="pulses.py",
    runs=(Run(5.0),),
    criteria=(
        Criterion(
            "the servo hears its pulses", 1,
            _mean(_hears, "pulses that a servo hears, for 2 s or more, and the arm swings"),
            essential=True,
        ),
        Criterion("50 pulses a second", 1, _mean(_fifty, "50 a second, all the time")),
        Criterion("45 degrees to starboard", 2, _mean(_station(0), _asked(0, "duty_ns"))),
        Criterion("straight ahead", 2, _mean(_station(1), _asked(1, "duty_u16"))),
        Criterion("30 degrees to port", 2, _mean(_station(2), _asked(2, "duty"))),
        Criterion(
            "time for each", 2,
            _mean(_time_for_each, f"{HOLD_S:g} s or more within {NEAR_DEG:g} degrees of each"),
        ),
    ),
    mistakes=known.PULSES,
)  # fmt: skip


# -- arm.sweep ---------------------------------------------------------------

RATE = 45.0
"""In degrees a second: 90 degrees in 2 s."""
HOLD_DEG, AHEAD_DEG = 2.0, 1.0


def _both_sides(recording: Recording) -> Judged:
    low, high = -min(angles(recording)), max(angles(recording))
    part = share(GAUGE - min(low, high), full=0.0, none=25.0)
    return part, f"{max(low, 0.0):.0f} degrees to starboard, {max(high, 0.0):.0f} to port", None


def _before(recording: Recording) -> Judged:
    way = way_across(recording)
    time = held(recording, -SIDE, HOLD_DEG, 0.0, way[0] if way else recording.seconds)
    words = f"{time:.2f} s before the sweep" if way else f"{time:.2f} s, and no sweep to port"
    return share(1.0 - time, full=0.05, none=0.9), words, way[0] if way else None


def _two_seconds(recording: Recording) -> Judged:
    way = way_across(recording)
    if way is None:
        return 0.0, f"the arm never went from -{GAUGE:.0f} to {GAUGE:.0f}", None
    time, wanted = way[1] - way[0], 2 * GAUGE / RATE
    words = f"{time:.2f} s from -{GAUGE:.0f} to {GAUGE:.0f}"
    return share(abs(time - wanted), full=0.2, none=1.0), words, way[0]


def _steady(recording: Recording) -> Judged:
    way = way_across(recording)
    if way is None:
        return 0.0, "no sweep", None
    off = off_line(recording, *way)
    slow = share(1.0 - (way[1] - way[0]), full=0.0, none=0.8)
    words = f"up to {off:.1f} degrees off a steady motion"
    if slow < 1.0:
        words += f", but it took {way[1] - way[0]:.2f} s: that is a jump"
    return share(off, full=3.0, none=10.0) * slow, words, way[0]


def _after(recording: Recording) -> Judged:
    way = way_across(recording)
    if way is None:
        return 0.0, "no sweep", None
    time = held(recording, SIDE, HOLD_DEG, way[1], recording.seconds)
    return share(1.0 - time, full=0.05, none=0.9), f"{time:.2f} s after the sweep", way[1]


def _back(recording: Recording) -> Judged:
    back = way_back(recording)
    if back is None:
        return 0.0, "it did not come back to the middle", None
    time, wanted = back[1] - back[0], (GAUGE - UPRIGHT) / RATE
    words = f"{time:.2f} s from {GAUGE:.0f} to {UPRIGHT:.0f}"
    return share(abs(time - wanted), full=0.15, none=0.6), words, back[0]


def _ahead(recording: Recording) -> Judged:
    last = between(recording, recording.seconds - 0.8, recording.seconds)
    way = way_across(recording)
    worst = max(last, key=abs)
    part = share(abs(worst), full=AHEAD_DEG, none=4.0) if way else 0.0
    words = f"it ended at {worst:.1f} degrees"
    if pulses_end(recording) is not None:
        part, words = part / 2, words + ", and no pulses held it there"
    return part, words, recording.seconds


SWEEP = Task(
    id="arm.sweep",
    title="Sweep and hold",
    program="sweep.py",
    runs=(Run(8.0),),
    criteria=(
        Criterion(
            "the arm goes to both sides", 1,
            _mean(_both_sides, f"{GAUGE:.0f} degrees or more to each"), essential=True,
        ),
        Criterion(
            "it holds to starboard", 2,
            _mean(_before, f"1 s within {HOLD_DEG:g} degrees of -{SIDE:.0f}"),
        ),
        Criterion(
            "it sweeps in two seconds", 2,
            _mean(_two_seconds, f"{2 * GAUGE / RATE:.2f} s, which is {RATE:.0f} degrees a second"),
        ),
        Criterion("at a steady speed", 2, _mean(_steady, "within 3 degrees, no jump")),
        Criterion(
            "it holds to port", 2, _mean(_after, f"1 s within {HOLD_DEG:g} degrees of {SIDE:.0f}")
        ),
        Criterion(
            "it comes back as slowly", 1,
            _mean(_back, f"{(GAUGE - UPRIGHT) / RATE:.2f} s, again {RATE:.0f} degrees a second"),
        ),
        Criterion(
            "it ends straight ahead", 2,
            _mean(_ahead, f"within {AHEAD_DEG:g} degree of 0 for the last 0.8 s, pulses on"),
        ),
    ),
    mistakes=known.SWEEP,
)  # fmt: skip


# -- arm.knock ---------------------------------------------------------------

REST_DEG = 6.0


def _docks(recording: Recording) -> Judged:
    events = list(recording.of("dock"))
    hit = strike(recording)
    if hit is None or (events and events[0].seconds < hit.time):
        return 0.0, "the arm never struck the float", None
    if events and events[-1].data[0] == "in":
        return 1.0, f"in the dock from {events[-1].seconds:.2f} s on", None
    if events:
        return 0.5, f"it left the dock again at {events[-1].seconds:.2f} s", events[-1].seconds
    gone, needed = _towards_gate(recording)
    words = f"struck, it rolled {1000 * gone:.0f} of {1000 * needed:.0f} mm towards the gate"
    return 0.4 * min(1.0, max(0.0, gone / needed)), words, hit.time


def _towards_gate(recording: Recording) -> tuple[float, float]:
    """Give how far the float came towards the gate's line, and how far that was, in m."""
    dock = make_table(recording.table, recording.seed).dock
    xs, ys = recording.tracks["float_x"], recording.tracks["float_y"]
    if dock is None:
        return 0.0, 1.0
    c, s = math.cos(dock.heading), math.sin(dock.heading)
    gone = (xs[-1] - xs[0]) * c + (ys[-1] - ys[0]) * s
    return gone, (dock.x - xs[0]) * c + (dock.y - ys[0]) * s


def _winds_up(recording: Recording) -> Judged:
    hit = strike(recording)
    until = hit.time if hit else recording.seconds
    time = recording.tracks["t"][1] * sum(a <= -FAR for a in between(recording, 0.0, until))
    words = f"{time:.2f} s at {FAR:.0f} degrees or more to starboard before it struck"
    return share(1.0 - time, full=0.05, none=0.9), words, hit.time if hit else None


def _swings(recording: Recording) -> Judged:
    way = swing(recording)
    if way is None:
        return 0.0, "no swing from starboard to port", None
    time = way[1] - way[0]
    reached = max(between(recording, way[0], way[1] + 0.3))
    part = share(time, full=SLOWEST_S, none=0.6) * share(FAR - reached, full=0.0, none=20.0)
    words = f"60 degrees in {time:.2f} s, as far as {reached:.0f} degrees to port"
    if len(swings(recording)) > 1:
        part, words = part / 2, f"{len(swings(recording))} swings; the first: {words}"
    return part, words, way[0]


def _keeps_clear(recording: Recording) -> Judged:
    for event in recording.of("touch"):
        if event.data[0] in ("float", "wall"):
            told = f"the hull touched the {event.data[0]} at {event.seconds:.2f} s"
            return 0.0, told, event.seconds
    sides = still_driven(recording)
    if sides:
        return 0.0, f"{motors(sides)} still driven at the end", recording.seconds
    if not at_rest(recording):
        return 0.0, "still moving at the end", recording.seconds
    return 1.0, "clear of float and walls, motors off", None


def _stows(recording: Recording) -> Judged:
    last = between(recording, recording.seconds - 0.5, recording.seconds)
    worst = max(last, key=abs)
    pressing = on_stop(recording)
    if pressing is not None:
        return 0.0, f"it pressed on its stop at {pressing.begin:.2f} s", pressing.begin
    return share(abs(worst), full=REST_DEG, none=20.0), f"it ended at {worst:.0f} degrees", None


def _berth() -> tuple[BoxTarget, ...]:
    """Give the dock of the table that the lesson shows, as something to draw."""
    dock = make_table("dock").dock
    if dock is None:
        return ()
    left = dock.x - dock.width / 2  # it is entered northwards there
    return (BoxTarget(left, dock.y, dock.width, dock.depth, "in here"),)


KNOCK = Task(
    id="arm.knock",
    title="Knock the float into the dock",
    program="knock.py",
    runs=(Run(5.0, "dock"), Run(5.0, "dock", seed=5)),
    criteria=(
        Criterion(
            "the float ends in the dock", 4,
            _mean(_docks, "struck by the arm, over the scoring line, and it stays there"),
            essential=True,
        ),
        Criterion(
            "it winds up and waits", 2,
            _mean(
                _winds_up,
                f"1 s at {GAUGE:.0f} degrees or more to starboard, give or take {GAUGE - FAR:.0f}",
            ),
        ),
        Criterion(
            "one full swing", 2,
            _mean(
                _swings,
                f"60 degrees in {SLOWEST_S:.2f} s or less, as far as {GAUGE:.0f}, give or take "
                f"{GAUGE - FAR:.0f}",
            ),
        ),
        Criterion("the hull keeps clear", 1, _mean(_keeps_clear, "no touch, motors off, at rest")),
        Criterion(
            "the arm is stowed", 1,
            _mean(_stows, f"straight ahead within {REST_DEG:.0f} degrees, never on its stop"),
        ),
    ),
    mistakes=known.KNOCK,
    targets=_berth(),
)  # fmt: skip

TASKS: tuple[Task, ...] = (PULSES, SWEEP, KNOCK)
