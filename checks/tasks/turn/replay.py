"""Replay: adds up the readings of a turn again, rightly and with each known mistake.

A program turns until its own sum has come to some angle.  Whichever way of adding gives nearly
the same angle at every stop, on every tug and to both sides, is the way that the program adds.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Sequence

from robotsim import Recording

from ...readings.sensors import PER_DEG, bus, heading_deg, said
from .evidence import SCALES, which
from .legs import (
    AGREE,
    TARGET,
    Decode,
    Leg,
    added,
    all_legs,
    legs,
    raw,
    slept_between,
    spans_of,
    spread,
    stopped_legs,
)

__all__ = [
    "bias_added_up",
    "decoded",
    "factor_off",
    "never_renewed",
    "rest_counted",
    "step_assumed",
    "unmeasured",
    "wrong_unit",
]

Recordings = Sequence[Recording]

_LATE = 2.0


def _right(recordings: Recordings) -> float | None:
    """Give the angle at which a program stops by a right sum, None if sums do not agree."""
    found = stopped_legs(recordings)
    stops = _stops(found)
    if len(stops) < len(all_legs(recordings)) or not stops or spread(stops) > 2 * AGREE:
        return None
    return statistics.fmean(stops)


def _stops(found: Sequence[Leg], **how: bool) -> list[float]:
    """Give the sum at each stop, not signed."""
    return [abs(sums[-1]) for leg in found if (sums := added(leg, raw, **how))]


def bias_added_up(recordings: Recordings) -> str | None:
    """Stops that agree only if the bias is left in."""
    found = stopped_legs(recordings)
    without, within = _stops(found), _stops(found, bias=False)
    if not within or spread(within) > 0.6 * spread(without) or spread(without) < AGREE:
        return None
    leg = max(found, key=lambda one: abs(abs(one.driven) - statistics.fmean(within)))
    bias = bus(leg.recording).bias(leg.recording)
    showed = f"; at rest its sensor showed {bias:.1f} deg/s" if bias is not None else ""
    k = next(i for i, recording in enumerate(recordings) if recording is leg.recording)
    return (
        f"{which(recordings, k)}the motors stopped at {abs(leg.driven):.1f} degrees, where the sum "
        f"with the bias left in is {abs(added(leg, raw, bias=False)[-1]):.1f}{showed}"
    )


def factor_off(recordings: Recordings) -> str | None:
    """Stops at a multiple of the angle that was asked: the scale of another range."""
    angle = _right(recordings)
    if angle is None:
        return None
    for factor, words in SCALES.items():
        if abs(angle / TARGET * factor - 1) < 0.07:
            lsb = stopped_legs(recordings)[0].samples[-1].lsb
            return (
                f"the motors stopped at {angle:.0f} degrees on the mean, so each rate counted "
                f"{words} what it is; the range that was set has {lsb:g} counts a deg/s"
            )
    return None


def wrong_unit(recordings: Recordings) -> str | None:
    """Turns that end at once, or never, though the sum is right: radians, or milliseconds."""
    for k, recording in enumerate(recordings):
        spans = spans_of(recording)
        longest = max((end - begin for begin, end in spans), default=math.inf)
        if longest < 0.15 and len(bus(recording).between(spans[0][0] - 0.05, math.inf)) >= 2:
            begin, end = spans[0]
            turned = abs(heading_deg(recording, end) - heading_deg(recording, begin))
            return (
                f"{which(recordings, k)}no turn was driven for longer than {longest:.3f} s; the "
                f"first one ended after {turned:.1f} degrees"
            )
    found = all_legs(recordings)
    if not found or any(leg.stopped for _, leg in found):
        return None
    k, leg = found[0]
    sums = added(leg, raw)
    if not sums or abs(sums[-1]) < 400 or unmeasured(recordings):
        return None
    return (
        f"{which(recordings, k)}it was still turning at the end, after {abs(sums[-1]):.0f} "
        f"degrees; in radians, for example, that is only {abs(sums[-1]) * PER_DEG:.1f}"
    )


def never_renewed(recordings: Recordings) -> str | None:
    """Stops that fit if each step's time counts from the beginning of the turn."""
    # The first turn of each trial: in later ones the time may count from its beginning too.
    found = list({id(leg.recording): leg for leg in reversed(_stopped_early(recordings))}.values())
    sums = []
    for leg in found:
        zero = bus(leg.recording).bias(leg.recording) or 0.0
        sums.append(abs(sum((s.rate - zero) * (s.time - leg.begin) for s in leg.samples)))
    if len(sums) < 2 or not 0.8 * TARGET < min(sums) <= max(sums) < 1.35 * TARGET:
        return None
    leg = found[0]
    return (
        f"a turn ended after {leg.end - leg.begin:.2f} s at {abs(leg.driven):.0f} degrees, where "
        f"rate x time since its *beginning*, added up in every round, is {sums[0]:.0f}"
    )


def _stopped_early(recordings: Recordings) -> list[Leg]:
    """Give the turns, none left out for being small, if all were stopped far too early."""
    found = []
    for recording in recordings:
        for begin, end in spans_of(recording):
            turned = heading_deg(recording, end) - heading_deg(recording, begin)
            stopped = end < recording.seconds - 0.02
            leg = Leg(recording, begin, end, stopped, turned, turned)
            if len(leg.samples) >= 4:
                found.append(leg)
    early = all(leg.stopped and abs(leg.driven) < 0.6 * TARGET for leg in found)
    return found if early else []


def rest_counted(recordings: Recordings) -> str | None:
    """Turns back that fit if the rest before them counts as their first step."""
    told = None
    for k, recording in enumerate(recordings):
        turns = legs(recording)
        first = added(turns[0], raw) if turns else []
        if not first or abs(abs(first[-1]) - TARGET) > 2 * AGREE:
            return None
        for leg in turns[1:]:
            last = bus(recording).before(leg.begin)
            if not leg.stopped or last is None or not leg.samples:
                return None
            zero = bus(recording).bias(recording) or 0.0
            rest = leg.begin - last.time
            without = abs(added(leg, raw)[-1])
            within = without + abs(leg.samples[0].rate - zero) * rest
            if rest < 0.1 or within - without < AGREE or abs(within - TARGET) > 2 * AGREE:
                return None
            told = told or (
                f"{which(recordings, k)}the turn back ended after {without:.0f} degrees; with the "
                f"{rest:.1f} s of rest before it counted as a step, the sum is {within:.0f}"
            )
    return told


def unmeasured(recordings: Recordings) -> str | None:
    """Turns without end by a program that never read the sensor at rest."""
    for k, recording in enumerate(recordings):
        turns = legs(recording)
        if not turns or any(leg.stopped for leg in turns):
            continue
        still = bus(recording).between(0.0, turns[0].begin)
        if len(still) < 3 and len(bus(recording).samples) > 20:
            return (
                f"{which(recordings, k)}the rate was read {len(still)} times before the tug began "
                f"to turn, and the turn never ended"
            )
    return None


def step_assumed(recordings: Recordings) -> str | None:
    """Stops, or angles told, that fit if only the sleeping is counted as time."""
    return _stopped_by_sleep(recordings) or _told_by_sleep(recordings)


def _told_by_sleep(recordings: Recordings) -> str | None:
    """Each angle told is short of the true one by the share of the time that was not slept."""
    words = None
    for k, recording in enumerate(recordings):
        for leg, line in zip(legs(recording), said(recording, "turned"), strict=False):
            slept = slept_between(recording, leg.begin, leg.end) / (leg.end - leg.begin)
            true = abs(heading_deg(recording, line.time) - heading_deg(recording, leg.begin))
            if not leg.stopped or slept > 0.99 or abs(abs(line.value) / true - slept) > 0.008:
                return None
            words = words or (
                f"{which(recordings, k)}it told {abs(line.value):.1f} degrees where it had turned "
                f"{true:.1f}; {100 * slept:.1f} % of that time it slept, and the rest it left out"
            )
    return words


def _stopped_by_sleep(recordings: Recordings) -> str | None:
    angle = _right(recordings)
    if angle is None or abs(angle - TARGET) < _LATE:
        return None
    found = stopped_legs(recordings)
    stops = _stops(found, slept=True)
    if not stops or abs(statistics.fmean(stops) - TARGET) > 0.4 * abs(angle - TARGET):
        return None
    leg = found[0]
    count = max(len(leg.samples) - 1, 1)
    real = (leg.samples[-1].time - leg.samples[0].time) / count
    slept = slept_between(leg.recording, leg.samples[0].time, leg.samples[-1].time) / count
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
        found = all_legs(recordings)
        if not found or all(fits(leg, raw) for _, leg in found):
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
