"""Replay: adds up the readings of a turn again, rightly and with each known mistake.

A program turns until its own sum has come to some angle.  Whichever way of adding gives nearly
the same angle at every stop, on every tug and to both sides, is the way that the program adds.
"""

from __future__ import annotations

import bisect
import math
import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from robotsim import Recording

from ..driving import SIDES, driven
from ..sensing import PER_DEG, Sample, bus, heading_deg, rests, said
from .turn_evidence import SCALES, which

__all__ = [
    "LATE",
    "Leg",
    "bias_added_up",
    "by_clock",
    "decoded",
    "factor_off",
    "legs",
    "no_rest",
    "radians",
    "step_assumed",
    "stops_early",
    "stops_late",
    "unread",
    "told_before_rest",
    "wrong_way",
]

Recordings = Sequence[Recording]
Decode = Callable[[Sample], float]

_GAP_S = 0.05
_TURN = 8.0
"""A leg is driven without a longer gap than this (s), and turns by more than this (degrees)."""
TARGET = 90.0
_AGREE = 3.0
"""Angles at the stops that lie within so many degrees of each other agree."""
LATE = 2.0
_REST_S = 0.3


@dataclass(frozen=True)
class Leg:
    """One turn: driven from `begin` to `end` (s), then rolled on.

    Attributes:
        recording: Where it was.
        begin: When the motors began to drive.
        end: When they ceased.
        stopped: Whether they ceased before the trial was over.
        driven: Degrees turned while driven, to port positive.
        turned: Degrees turned in all, up to the next leg.
    """

    recording: Recording
    begin: float
    end: float
    stopped: bool
    driven: float
    turned: float

    @property
    def way(self) -> int:
        """1 for a turn to port, -1 to starboard."""
        return 1 if self.driven >= 0 else -1

    @property
    def samples(self) -> Sequence[Sample]:
        """What was read while it was driven."""
        return bus(self.recording).between(self.begin, self.end)


def _spans(recording: Recording) -> list[tuple[float, float]]:
    """Give the stretches of time in which the motors drove a turn one way."""
    senses = {"left": -1, "right": 1}
    phases = sorted(
        (phase.begin, phase.end, math.copysign(senses[side], senses[side] * phase.duty))
        for side in SIDES
        for phase in driven(recording, side)
    )
    spans: list[tuple[float, float]] = []
    last = 0.0
    for begin, end, sense in phases:
        if spans and sense == last and begin - spans[-1][1] < _GAP_S:
            spans[-1] = spans[-1][0], max(end, spans[-1][1])
        else:
            spans.append((begin, end))
        last = sense
    return spans


def legs(recording: Recording) -> list[Leg]:
    """Cut a recording into its turns, by when the motors were driven."""
    spans = _spans(recording)
    found = []
    for k, (begin, end) in enumerate(spans):
        until = spans[k + 1][0] if k + 1 < len(spans) else recording.seconds
        first = heading_deg(recording, begin)
        turned = heading_deg(recording, end) - first
        if abs(turned) > _TURN:
            whole = heading_deg(recording, until) - first
            stopped = end < recording.seconds - 0.02
            found.append(Leg(recording, begin, end, stopped, turned, whole))
    return found


def _all_legs(recordings: Recordings) -> list[tuple[int, Leg]]:
    return [(k, leg) for k, recording in enumerate(recordings) for leg in legs(recording)]


# -- adding up ---------------------------------------------------------------


def _slept(recording: Recording, begin: float, end: float) -> float:
    """Give how long the program slept between two times, in s."""
    times, sums = _sleeps(recording)
    return sums[bisect.bisect_left(times, end)] - sums[bisect.bisect_left(times, begin)]


_KEPT: list[tuple[Recording, tuple[list[float], list[float]]]] = []


def _sleeps(recording: Recording) -> tuple[list[float], list[float]]:
    for known, found in _KEPT:
        if known is recording:
            return found
    times, sums = [], [0.0]
    for event in recording.of("sleep"):
        times.append(event.seconds)
        sums.append(sums[-1] + event.data[0] / 1e9)
    _KEPT.append((recording, (times, sums)))
    del _KEPT[:-4]
    return times, sums


def added(leg: Leg, decode: Decode, *, bias: bool = True, slept: bool = False) -> list[float]:
    """Add up the readings of a turn: the sum in degrees after each reading.

    Args:
        leg: The turn.
        decode: From a reading's bytes to counts.
        bias: Whether what the same decoding gave before the first turn is taken off.
        slept: Whether only the time of sleeping is counted, not all that passed.
    """
    recording = leg.recording
    first = legs(recording)[0].begin
    still = bus(recording).between(0.0, first)
    zero = statistics.fmean(decode(s) / s.lsb for s in still) if bias and still else 0.0
    sums, before, total = [], leg.begin, 0.0
    for sample in leg.samples:
        step = sample.time - before
        if slept:
            step = _slept(recording, before, sample.time)
        total += (decode(sample) / sample.lsb - zero) * step
        before = sample.time
        sums.append(total)
    return sums


def _raw(sample: Sample) -> float:
    return sample.raw


def _stops(found: Sequence[Leg], **how: bool) -> list[float]:
    """Give the sum at each stop, not signed."""
    return [abs(sums[-1]) for leg in found if (sums := added(leg, _raw, **how))]


def _spread(values: Sequence[float]) -> float:
    return max(values) - min(values) if values else math.inf


def _stopped(recordings: Recordings) -> list[Leg]:
    return [leg for _, leg in _all_legs(recordings) if leg.stopped]


# -- evidence ----------------------------------------------------------------


def unread(recordings: Recordings) -> str | None:
    """Turns during which the sensor was hardly read."""
    for k, leg in _all_legs(recordings):
        seconds = leg.end - leg.begin
        reads = [r for r in bus(leg.recording).reads if leg.begin <= r.time <= leg.end]
        by_program = leg.stopped and leg.end < leg.recording.ended_ns / 1e9
        if by_program and seconds > 0.1 and len(reads) < 4:
            return (
                f"{which(recordings, k)}in the {seconds:.2f} s of a turn the sensor was read "
                f"{len(reads)} times"
            )
    return None


def by_clock(recordings: Recordings) -> str | None:
    """Turns that took the same time on every tug, whatever was read."""
    same = _same_times(recordings)
    found = _stopped(recordings)
    if same and found and _spread([abs(leg.driven) for leg in found]) > 2 * _AGREE:
        turned = [f"{abs(leg.driven):.0f}" for leg in found]
        return (
            f"every turn was driven for {same:.2f} s, whatever the sensor said, and the tugs "
            f"turned by {', '.join(turned)} degrees in that time"
        )
    return None


def _same_times(recordings: Recordings) -> float | None:
    """Give the time of driving if it was the same in all turns of several tugs."""
    times = [leg.end - leg.begin for leg in _stopped(recordings)]
    if len(times) >= 3 and _spread(times) < 0.012:
        return statistics.fmean(times)
    return None


def wrong_way(recordings: Recordings) -> str | None:
    """A first turn to starboard."""
    for k, recording in enumerate(recordings):
        first = next(iter(legs(recording)), None)
        if first and first.turned < -_TURN:
            return f"{which(recordings, k)}the first turn went {-first.turned:.0f} deg to starboard"
    return None


def _right(recordings: Recordings) -> float | None:
    """Give the angle at which a program stops by a right sum, None if sums do not agree."""
    found = _stopped(recordings)
    stops = _stops(found)
    if len(stops) < len(_all_legs(recordings)) or not stops or _spread(stops) > 2 * _AGREE:
        return None
    return statistics.fmean(stops)


def bias_added_up(recordings: Recordings) -> str | None:
    """Stops that agree only if the bias is left in."""
    found = _stopped(recordings)
    without, within = _stops(found), _stops(found, bias=False)
    if not within or _spread(within) > 0.6 * _spread(without) or _spread(without) < _AGREE:
        return None
    leg = max(found, key=lambda one: abs(abs(one.driven) - statistics.fmean(within)))
    bias = bus(leg.recording).bias(leg.recording)
    showed = f"; at rest its sensor showed {bias:.1f} deg/s" if bias is not None else ""
    k = next(i for i, recording in enumerate(recordings) if recording is leg.recording)
    return (
        f"{which(recordings, k)}the motors stopped at {abs(leg.driven):.1f} degrees, where the sum "
        f"with the bias left in is {abs(added(leg, _raw, bias=False)[-1]):.1f}{showed}"
    )


def factor_off(recordings: Recordings) -> str | None:
    """Stops at a multiple of the angle that was asked: the scale of another range."""
    angle = _right(recordings)
    if angle is None:
        return None
    for factor, words in SCALES.items():
        if abs(angle / TARGET * factor - 1) < 0.07:
            lsb = _stopped(recordings)[0].samples[-1].lsb
            return (
                f"the motors stopped at {angle:.0f} degrees on the mean, so each rate counted "
                f"{words} what it is; the range that was set has {lsb:g} counts a deg/s"
            )
    return None


def radians(recordings: Recordings) -> str | None:
    """A right sum that was compared with an angle in the other unit."""
    for k, recording in enumerate(recordings):
        spans = _spans(recording)
        longest = max((end - begin for begin, end in spans), default=math.inf)
        if longest < 0.15 and len(bus(recording).between(spans[0][0] - 0.05, math.inf)) >= 2:
            return (
                f"{which(recordings, k)}no turn was driven for longer than {longest:.3f} s, as if "
                "1.57 degrees were enough: pi/2 radians are 90 degrees"
            )
    found = _all_legs(recordings)
    if not found or any(leg.stopped for _, leg in found):
        return None
    k, leg = found[0]
    sums = added(leg, _raw)
    if not sums or abs(sums[-1]) < 400:
        return None
    return (
        f"{which(recordings, k)}it was still turning at the end, after {abs(sums[-1]):.0f} "
        f"degrees; in radians that is only {abs(sums[-1]) * PER_DEG:.1f}, less than 90"
    )


def step_assumed(recordings: Recordings) -> str | None:
    """Stops that fit if only the sleeping is counted as time."""
    angle = _right(recordings)
    if angle is None or abs(angle - TARGET) < LATE:
        return None
    found = _stopped(recordings)
    stops = _stops(found, slept=True)
    if not stops or abs(statistics.fmean(stops) - TARGET) > 0.4 * abs(angle - TARGET):
        return None
    leg = found[0]
    count = max(len(leg.samples) - 1, 1)
    real = (leg.samples[-1].time - leg.samples[0].time) / count
    slept = _slept(leg.recording, leg.samples[0].time, leg.samples[-1].time) / count
    return (
        f"the motors stopped at {angle:.0f} degrees on the mean; readings came every "
        f"{1000 * real:.2f} ms, of which the program slept {1000 * slept:.2f} ms, and with that "
        f"time alone the sum is {statistics.fmean(stops):.0f}"
    )


def decoded(decode: Decode, name: str) -> Callable[[Recordings], str | None]:
    """Make a look for turns that fit only if the bytes are taken in a wrong way.

    A turn that stopped must have come near the target, for the first time, at its stop; one that
    never stopped must never have come there.
    """

    def fits(leg: Leg, how: Decode) -> bool:
        signed = [leg.way * total for total in added(leg, how)]
        sums = [abs(total) for total in signed]
        if len(sums) < 3:
            return False
        goal = 0.8 * TARGET
        if not leg.stopped:
            return max(signed) < 1.15 * TARGET or max(sums) < 1.15 * TARGET
        near = sums[-1] > goal or sums[-2] > goal
        return near and max(sums[:-3], default=0.0) < 1.05 * TARGET

    def look(recordings: Recordings) -> str | None:
        found = _all_legs(recordings)
        if not found or all(fits(leg, _raw) for _, leg in found):
            return None
        if not all(fits(leg, decode) for _, leg in found):
            return None
        k, leg = max(found, key=lambda pair: abs(abs(pair[1].driven) - TARGET))
        sample = leg.samples[len(leg.samples) // 2]
        side = "port" if leg.way > 0 else "starboard"
        end = f"stopped at {abs(leg.driven):.0f} degrees" if leg.stopped else "never stopped"
        return (
            f"{which(recordings, k)}the turn to {side} {end}, which fits a sum of the bytes "
            f"taken {name}: at {sample.time:.2f} s 0x{sample.high:02x} 0x{sample.low:02x} would be "
            f"{decode(sample):.0f}, and is {sample.raw}"
        )

    return look


def stops_late(recordings: Recordings) -> str | None:
    """A right sum, and a tug that rolled on."""
    for k, leg in _all_legs(recordings):
        sums = added(leg, _raw)
        if not leg.stopped or not sums:
            continue
        over = abs(leg.turned) - TARGET
        if over > LATE and abs(sums[-1]) > 0.94 * TARGET:
            last = leg.samples[-1].time - leg.samples[-2].time if len(leg.samples) > 1 else 0.0
            return (
                f"{which(recordings, k)}the motors stopped at {abs(leg.driven):.1f} degrees, then "
                f"it rolled on to {abs(leg.turned):.1f}; it was read every {1000 * last:.0f} ms"
            )
    return None


def stops_early(recordings: Recordings) -> str | None:
    """A right sum, and a stop too far ahead of the target."""
    for k, leg in _all_legs(recordings):
        if leg.stopped and abs(leg.turned) < TARGET - LATE and added(leg, _raw):
            return (
                f"{which(recordings, k)}the motors stopped at {abs(leg.driven):.1f} degrees, and "
                f"it came to rest at {abs(leg.turned):.1f}"
            )
    return None


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


def no_rest(recordings: Recordings) -> str | None:
    """Two turns without a rest between them."""
    for k, recording in enumerate(recordings):
        for one, other in zip(legs(recording), legs(recording)[1:], strict=False):
            if one.way != other.way and other.begin - one.end < _REST_S:
                pause = max(other.begin - one.end, 0.0)
                return f"{which(recordings, k)}only {pause:.2f} s lay between the two turns"
    return None
