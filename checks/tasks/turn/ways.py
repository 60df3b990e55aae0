"""Evidence of mistakes in how a tug turned and stopped, read from a recording.

A function here gives the evidence in words, or None where the mistake was not made.
"""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence

from robotsim import Recording

from ...readings.sensors import bus, heading_deg, rests, said
from .evidence import which
from .legs import AGREE, TARGET, added, all_legs, legs, raw, spread, stopped_legs

__all__ = [
    "by_clock",
    "no_end_back",
    "no_new_reading",
    "no_rest",
    "stops_early",
    "stops_late",
    "sum_kept",
    "told_as",
    "told_before_rest",
    "unread",
    "wrong_way",
]

Recordings = Sequence[Recording]

_TURN = 8.0
_LATE = 2.0
_REST_S = 0.3
_AGREES = 4.0


def unread(recordings: Recordings) -> str | None:
    """Turns during which the sensor was hardly read."""
    for k, leg in all_legs(recordings):
        seconds = leg.end - leg.begin
        reads = [r for r in bus(leg.recording).reads if leg.begin <= r.time <= leg.end]
        by_program = leg.stopped and leg.end < leg.recording.ended_ns / 1e9
        if by_program and seconds > 0.1 and len(reads) < 4:
            return (
                f"{which(recordings, k)}in the {seconds:.2f} s of a turn the sensor was read "
                f"{len(reads)} times"
            )
    return None


def no_new_reading(recordings: Recordings) -> str | None:
    """A turn without end in which the sensor is not read."""
    for k, leg in all_legs(recordings):
        reads = [r for r in bus(leg.recording).reads if leg.begin <= r.time <= leg.end]
        if not leg.stopped and leg.recording.ended == "time is up" and len(reads) < 4:
            return (
                f"{which(recordings, k)}it turned without end, and the sensor was read "
                f"{len(reads)} times meanwhile"
            )
    return None


def by_clock(recordings: Recordings) -> str | None:
    """Turns that took the same time on every tug, whatever was read."""
    same = _same_times(recordings)
    found = stopped_legs(recordings)
    if same and found and spread([abs(leg.driven) for leg in found]) > 2 * AGREE:
        turned = [f"{abs(leg.driven):.0f}" for leg in found]
        return (
            f"every turn was driven for {same:.2f} s, whatever the sensor said, and the tugs "
            f"turned by {', '.join(turned)} degrees in that time"
        )
    return None


def _same_times(recordings: Recordings) -> float | None:
    """Give the time of driving if it was the same in all turns of several tugs."""
    times = [leg.end - leg.begin for leg in stopped_legs(recordings)]
    if len(times) >= 3 and spread(times) < 0.012:
        return statistics.fmean(times)
    return None


def wrong_way(recordings: Recordings) -> str | None:
    """A first turn to starboard."""
    for k, recording in enumerate(recordings):
        first = next(iter(legs(recording)), None)
        if first and first.turned < -_TURN:
            return f"{which(recordings, k)}the first turn went {-first.turned:.0f} deg to starboard"
    return None


def no_rest(recordings: Recordings) -> str | None:
    """Two turns without a rest between them."""
    for k, recording in enumerate(recordings):
        for one, other in zip(legs(recording), legs(recording)[1:], strict=False):
            if one.way != other.way and other.begin - one.end < _REST_S:
                pause = max(other.begin - one.end, 0.0)
                return f"{which(recordings, k)}only {pause:.2f} s lay between the two turns"
    return None


def sum_kept(recordings: Recordings) -> str | None:
    """A way back that is twice as long, since the sum began at 90."""
    for k, recording in enumerate(recordings):
        turns = legs(recording)
        if len(turns) == 2 and turns[1].stopped and turns[0].way != turns[1].way:
            first, back = abs(turns[0].driven), abs(turns[1].driven)
            if abs(first - TARGET) < 10 and abs(back - 2 * TARGET) < 14:
                tug = which(recordings, k)
                return f"{tug}{first:.0f} degrees to one side, then {back:.0f} back"
    return None


def no_end_back(recordings: Recordings) -> str | None:
    """A first turn that ends, and a way back that does not."""
    for k, recording in enumerate(recordings):
        turns = legs(recording)
        running = recording.ended == "time is up"
        if running and len(turns) == 2 and turns[0].stopped and not turns[1].stopped:
            side = "port" if turns[1].way > 0 else "starboard"
            return (
                f"{which(recordings, k)}the first turn ended at {abs(turns[0].driven):.0f} "
                f"degrees; the second, to {side}, had no end: {abs(turns[1].driven):.0f} degrees"
            )
    return None


def stops_late(recordings: Recordings) -> str | None:
    """A right sum, and a tug that rolled on."""
    for k, leg in all_legs(recordings):
        sums = added(leg, raw)
        if not leg.stopped or not sums:
            continue
        over = abs(leg.turned) - TARGET
        if over > _LATE and abs(sums[-1]) > 0.94 * TARGET:
            last = leg.samples[-1].time - leg.samples[-2].time if len(leg.samples) > 1 else 0.0
            return (
                f"{which(recordings, k)}the motors stopped at {abs(leg.driven):.1f} degrees, then "
                f"it rolled on to {abs(leg.turned):.1f}; it was read every {1000 * last:.0f} ms"
            )
    return None


def stops_early(recordings: Recordings) -> str | None:
    """A right sum, and a stop too far ahead of the target."""
    for k, leg in all_legs(recordings):
        if leg.stopped and abs(leg.turned) < TARGET - _LATE and added(leg, raw):
            return (
                f"{which(recordings, k)}the motors stopped at {abs(leg.driven):.1f} degrees, and "
                f"it came to rest at {abs(leg.turned):.1f}"
            )
    return None


def told_as(unit: float) -> Callable[[Recordings], str | None]:
    """Make a look for angles told right but for a factor, or (-1) for the sign of the way back."""

    def look(recordings: Recordings) -> str | None:
        lines = [pair for recording in recordings for pair in _told(recording)]
        if unit < 0:
            lines = [(told, turned) for told, turned in lines if turned < 0]
        if not lines or any(abs(told / unit - turned) > _AGREES for told, turned in lines):
            return None
        told, turned = lines[-1]
        return f"it told {told:g} where it had turned by {turned:.1f} degrees"

    return look


def _told(recording: Recording) -> list[tuple[float, float]]:
    """Give each angle that was told at rest, and by how much the tug had turned."""
    stops = rests(recording)
    return [
        (line.value, stops[k].heading - stops[k - 1].heading)
        for line in said(recording, "turned")
        for k in range(1, len(stops))
        if stops[k].begin <= line.time <= stops[k].end
    ]


def told_before_rest(recordings: Recordings) -> str | None:
    """An angle that was printed at the stop, not after the rolling on."""
    for k, recording in enumerate(recordings):
        stops = rests(recording)
        for line in said(recording, "turned"):
            after = next((rest for rest in stops[1:] if rest.begin >= line.time), None)
            if after is None or abs(heading_deg(recording, line.time) - after.heading) > 30:
                continue
            moved = abs(heading_deg(recording, line.time) - after.heading)
            if moved > 0.5:
                return (
                    f"{which(recordings, k)}`turned {line.value:.1f}` was printed at "
                    f"{line.time:.2f} s, while it still rolled on by {moved:.1f} degrees"
                )
    return None
