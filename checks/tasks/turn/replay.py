"""Replay: adds up the readings of a turn again, rightly and with each known mistake.

A program turns until its own sum has come to some angle.  Whichever way of adding gives nearly
the same angle at every stop, on every tug and to both sides, is the way that the program adds.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence

from robotsim import Recording

from ...readings.sensors import PER_DEG, bus, heading_deg, printed
from ...task import Clues, Facts, Mistake, mistake
from ...words import named_trials
from .printed_angles import told_rightly
from .quarter import CRITERIA, TURN_FULL, to_port, turns_back
from .rate_mistakes import BIAS, BIAS_HINT, SCALE, SCALE_HINT, SCALES
from .sensing import Decode
from .turns import (
    AGREE,
    QUARTER,
    Turn,
    added,
    all_turns,
    driven_spans,
    raw,
    slept_between,
    spread,
    stopped_turns,
    turns_of,
)

__all__ = [
    "bias_added_up",
    "bytes_added",
    "measured_while_turning",
    "never_renewed",
    "rest_counted",
    "scale_of_another_range",
    "step_assumed",
    "wrong_unit",
]

_ANY = CRITERIA
"""What a wrong sum may cost: a turn may have no end, or none may come."""


def _right(recordings: Sequence[Recording]) -> float | None:
    """Give the angle at which a program stops by a right sum, None if sums do not agree."""
    found = stopped_turns(recordings)
    stops = _stops(found)
    if len(stops) < len(all_turns(recordings)) or not stops or spread(stops) > 2 * AGREE:
        return None
    return statistics.fmean(stops)


def _stops(found: Sequence[Turn], *, bias: bool = True, slept: bool = False) -> list[float]:
    """Give the sum at each stop, not signed."""
    sums = (added(turn, raw, bias=bias, slept=slept) for turn in found)
    return [abs(steps[-1]) for steps in sums if steps]


@mistake(BIAS, BIAS_HINT, explains=_ANY)
def bias_added_up(seen: Facts) -> Clues:
    """Stops agree only if the bias is left in."""
    found = [(name, turn) for name, turn in all_turns(seen.recordings) if turn.stopped]
    turns = [turn for _, turn in found]
    without, within = _stops(turns), _stops(turns, bias=False)
    if not within or spread(within) > 0.6 * spread(without) or spread(without) < AGREE:
        return
    mean = statistics.fmean(within)
    name, turn = max(found, key=lambda one: abs(abs(one[1].driven) - mean))
    bias = bus(turn.recording).bias(turn.recording)
    showed = f"; at rest its sensor showed {bias:.1f} deg/s" if bias is not None else ""
    sums = added(turn, raw, bias=False)
    if sums:
        yield (
            f"{name}the motors stopped at {abs(turn.driven):.1f} degrees, where the sum with the "
            f"bias left in is {abs(sums[-1]):.1f}{showed}"
        )


@mistake(SCALE, SCALE_HINT, costs=[to_port], explains=_ANY)
def scale_of_another_range(seen: Facts) -> Clues:
    """Stops come at a multiple of the angle that was asked, and what is printed is not that."""
    angle = _right(seen.recordings)
    if angle is None:
        return
    for factor, words in SCALES.items():
        lines = [line for made in seen.recordings for line in printed(made, "turned")]
        own = statistics.median([abs(line.value) for line in lines] or [angle * factor])
        if abs(angle / QUARTER * factor - 1) < 0.07 and abs(own / (angle * factor) - 1) < 0.15:
            lsb = stopped_turns(seen.recordings)[0].samples[-1].lsb
            yield (
                f"the motors stopped at {angle:.0f} degrees on the mean, so each rate counted "
                f"{words} what it is; the range that was set has {lsb:g} counts a deg/s"
            )


@mistake(
    "an angle or a time in the wrong unit",
    "everything in degrees and seconds: 131 counts are one degree a second, the goal is 90 (not "
    "pi/2), and a difference of ticks_us() is divided by 1000000.",
    costs=[to_port],
    explains=_ANY,
)
def wrong_unit(seen: Facts) -> Clues:
    """Turns end at once, or never, though the sum is right: radians, or milliseconds."""
    for name, recording in named_trials(seen.recordings):
        spans = driven_spans(recording)
        longest = max((end - begin for begin, end in spans), default=math.inf)
        if longest < 0.15 and len(bus(recording).between(spans[0][0] - 0.05, math.inf)) >= 2:
            begin, end = spans[0]
            turned = abs(heading_deg(recording, end) - heading_deg(recording, begin))
            yield (
                f"{name}no turn was driven for longer than {longest:.3f} s; the first one ended "
                f"after {turned:.1f} degrees"
            )
    found = all_turns(seen.recordings)
    if not found or any(turn.stopped for _, turn in found):
        return
    name, turn = found[0]
    sums = added(turn, raw)
    endless = sums and turn.way > 0 and abs(sums[-1]) >= 400
    if endless and not measured_while_turning.evidence(seen):
        yield (
            f"{name}it was still turning at the end, after {abs(sums[-1]):.0f} degrees; in "
            f"radians, for example, that is only {abs(sums[-1]) * PER_DEG:.1f}"
        )


@mistake(
    "each step counted from the beginning of the turn",
    "end each round with before = now, so that the next step begins where this one ended.",
    costs=[to_port],
    explains=_ANY,
)
def never_renewed(seen: Facts) -> Clues:
    """Stops fit if each step's time counts from the beginning of the turn."""
    # The first turn of each trial: in later ones the time may count from its beginning too.
    early = reversed(_stopped_early(seen.recordings))
    found = list({id(turn.recording): turn for turn in early}.values())
    sums = []
    for turn in found:
        zero = bus(turn.recording).bias(turn.recording) or 0.0
        sums.append(abs(sum((s.rate - zero) * (s.time - turn.begin) for s in turn.samples)))
    for turn in found[:1]:
        if len(sums) < 2 or not 0.8 * QUARTER < min(sums) <= max(sums) < 1.35 * QUARTER:
            return
        yield (
            f"a turn ended after {turn.end - turn.begin:.2f} s at {abs(turn.driven):.0f} degrees, "
            f"where rate x time since its *beginning*, added up in every round, is {sums[0]:.0f}"
        )


def _stopped_early(recordings: Sequence[Recording]) -> list[Turn]:
    """Give the turns, none left out for being small, if all were stopped far too early."""
    found = []
    for recording in recordings:
        for begin, end in driven_spans(recording):
            turned = heading_deg(recording, end) - heading_deg(recording, begin)
            stopped = end < recording.seconds - 0.02
            turn = Turn(recording, begin, end, stopped, turned, turned)
            if len(turn.samples) >= 4:
                found.append(turn)
    early = all(turn.stopped and abs(turn.driven) < 0.6 * QUARTER for turn in found)
    return found if early else []


@mistake(
    "the rest before the turn counted as a step",
    "begin each turn with before = time.ticks_us(), also the way back.",
    costs=[turns_back],
    explains=_ANY,
)
def rest_counted(seen: Facts) -> Clues:
    """Turns back fit if the rest before them counts as their first step."""
    clues = []
    for name, recording in named_trials(seen.recordings):
        turns = turns_of(recording)
        first = added(turns[0], raw) if turns else []
        if not first or abs(abs(first[-1]) - QUARTER) > 2 * AGREE:
            return
        for turn in turns[1:]:
            last = bus(recording).before(turn.begin)
            if not turn.stopped or last is None or not turn.samples:
                return
            zero = bus(recording).bias(recording) or 0.0
            rest = turn.begin - last.time
            without = abs(added(turn, raw)[-1])
            within = without + abs(turn.samples[0].rate - zero) * rest
            if rest < 0.1 or within - without < AGREE or abs(within - QUARTER) > 2 * AGREE:
                return
            clues.append(
                f"{name}the turn back ended after {without:.0f} degrees; with the {rest:.1f} s of "
                f"rest before it counted as a step, the sum is {within:.0f}"
            )
    yield from clues


@mistake(
    "bias measured while the tug turns",
    "take the mean of 100 readings before the first spin: at rest.",
    explains=_ANY,
)
def measured_while_turning(seen: Facts) -> Clues:
    """Turns go round and round, by a program that never read the sensor at rest."""
    for name, recording in named_trials(seen.recordings):
        turns = turns_of(recording)
        if not turns or abs(turns[0].driven) < 3 * QUARTER:
            continue
        still = bus(recording).between(0.0, turns[0].begin)
        if len(still) < 3 and len(bus(recording).samples) > 20:
            yield (
                f"{name}the rate was read {len(still)} times before the tug began to turn, and "
                f"the turn went on for {abs(turns[0].driven):.0f} degrees"
            )


@mistake(
    "time step assumed, not measured",
    "look at time.ticks_us() in every round, beside the reading; add the rate times "
    "time.ticks_diff(now, before) / 1000000, then before = now.",
    explains=_ANY,
)
def step_assumed(seen: Facts) -> Clues:
    """Stops, or angles printed, fit if only the sleeping is counted as time."""
    yield from _stopped_by_sleep(seen.recordings)
    yield from _printed_by_sleep(seen.recordings)


def _printed_by_sleep(recordings: Sequence[Recording]) -> list[str]:
    """Each angle printed is short of the true one by the share of the time that was not slept."""
    clues = []
    for name, recording in named_trials(recordings):
        for turn, line in zip(turns_of(recording), printed(recording, "turned"), strict=False):
            slept = slept_between(recording, turn.begin, turn.end) / (turn.end - turn.begin)
            true = abs(heading_deg(recording, line.time) - heading_deg(recording, turn.begin))
            if not turn.stopped or slept > 0.99 or abs(abs(line.value) - slept * true) > true / 125:
                return []
            clues.append(
                f"{name}it told {abs(line.value):.1f} degrees where it had turned {true:.1f}; "
                f"{100 * slept:.1f} % of that time it slept, and the rest it left out"
            )
    return clues


def _stopped_by_sleep(recordings: Sequence[Recording]) -> Clues:
    angle = _right(recordings)
    if angle is None or abs(angle - QUARTER) < TURN_FULL or told_rightly(recordings):
        return
    stops = _stops(found := stopped_turns(recordings), slept=True)
    if not stops or abs(statistics.fmean(stops) - QUARTER) > 0.4 * abs(angle - QUARTER):
        return
    samples = found[0].samples
    first, last, count = samples[0].time, samples[-1].time, max(len(samples) - 1, 1)
    slept = slept_between(found[0].recording, first, last) / count
    yield (
        f"the motors stopped at {angle:.0f} degrees on the mean; readings came every "
        f"{1000 * (last - first) / count:.2f} ms, of which the program slept {1000 * slept:.2f} "
        f"ms, and with that time alone the sum is {statistics.fmean(stops):.0f}"
    )


def _fits(turn: Turn, decode: Decode) -> bool:
    """Tell whether a turn stopped where a sum first came near the target, or never came there."""
    signed = [turn.way * total for total in added(turn, decode)]
    sums = [abs(total) for total in signed]
    if len(sums) < 3:
        return False
    if not turn.stopped:
        return max(signed) < 1.15 * QUARTER or max(sums) < 1.15 * QUARTER
    near = max(sums[-2:]) > 0.8 * QUARTER
    return near and max(sums[:-3], default=0.0) < 1.05 * QUARTER


def bytes_added(name: str, hint: str, decode: Decode, words: str) -> Mistake:
    """Make the mistake of turns that fit only if the bytes are taken in a wrong way."""

    @mistake(name, hint, explains=_ANY)
    def look(seen: Facts) -> Clues:
        found = all_turns(seen.recordings)
        if not found or all(_fits(turn, raw) for _, turn in found):
            return
        if not all(_fits(turn, decode) for _, turn in found):
            return
        tug, turn = max(found, key=lambda one: abs(abs(one[1].driven) - QUARTER))
        sample = turn.samples[len(turn.samples) // 2]
        side = "port" if turn.way > 0 else "starboard"
        end = f"stopped at {abs(turn.driven):.0f} degrees" if turn.stopped else "never stopped"
        yield (
            f"{tug}the turn to {side} {end}, which fits a sum of the bytes {words}: at "
            f"{sample.time:.2f} s 0x{sample.high:02x} 0x{sample.low:02x} would be "
            f"{decode(sample):.0f}, and is {sample.raw}"
        )

    return look
