"""Mistakes in `turn.quarter`: how a tug turned and stopped, and the task of all."""

from __future__ import annotations

import statistics
from collections.abc import Iterator

from robotsim import Recording

from ...readings.sensors import PER_DEG, bus
from ...task import Clues, Facts, Task, mistake
from .. import motors
from . import replay
from .printed_angles import (
    not_added_up,
    printed_as,
    printed_early,
    stopped_adding,
    sum_is_wrong,
    time_left_out,
)
from .quarter import (
    CRITERIA,
    KNOWS_FULL,
    PAUSE_FULL,
    SECONDS,
    TURN_FULL,
    at_each_rest,
    knows,
    motors_off,
    pause_after,
    rests_between,
    to_port,
    turns_and_reads,
    turns_back,
)
from .sensing import (
    DECODINGS,
    READING,
    does_not_turn,
    faster_than_the_range,
    in_any_trial,
    line_missing,
    one_side_only,
    three_tugs,
)
from .turns import AGREE, QUARTER, Turn, added, all_turns, raw, spread, stopped_turns, turns_of

__all__ = ["QUARTERS"]

_ALL = [turns_and_reads, to_port, turns_back, knows, rests_between, motors_off]


def _reads(turn: Turn) -> int:
    reads = bus(turn.recording).reads
    return sum(turn.begin <= read.time <= turn.end for read in reads)


@mistake(
    "turned by the clock",
    "inside the loop read the rate and add rate x time to the angle; stop when the angle is there, "
    "not when a time is over.",
    explains=_ALL,
)
def hardly_read(seen: Facts) -> Clues:
    for name, turn in all_turns(seen.recordings):
        seconds = turn.end - turn.begin
        by_program = turn.stopped and turn.end < turn.recording.ended_ns / 1e9
        if by_program and seconds > 0.1 and _reads(turn) < 4:
            read = f"the sensor was read {_reads(turn)} times"
            yield f"{name}in the {seconds:.2f} s of a turn {read}"


@mistake(hardly_read.name, hardly_read.hint, explains=[to_port, turns_back, knows])
def by_the_clock(seen: Facts) -> Clues:
    found = stopped_turns(seen.recordings)
    times = [turn.end - turn.begin for turn in found]
    angles = [abs(turn.driven) for turn in found]
    if len(times) >= 3 and spread(times) < 0.012 and spread(angles) > 2 * AGREE:
        shown = ", ".join(f"{angle:.0f}" for angle in angles)
        yield (
            f"every turn was driven for {statistics.fmean(times):.2f} s, whatever the sensor said, "
            f"and the tugs turned by {shown} degrees in that time"
        )


@mistake(
    "no new reading while it turns",
    "read the sensor anew in each round of the loop that waits for the angle.",
    explains=_ALL,
)
def no_new_reading(seen: Facts) -> Clues:
    for name, turn in all_turns(seen.recordings):
        if not turn.stopped and turn.recording.ended == "time is up" and _reads(turn) < 4:
            read = f"the sensor was read {_reads(turn)} times meanwhile"
            yield f"{name}it turned without end, and {read}"


@mistake(
    "turns the wrong way",
    "to port the right wheel runs ahead and the left one back.",
    costs=[to_port],
    explains=_ALL[2:],
)
@in_any_trial
def wrong_way(recording: Recording) -> Iterator[str]:
    for first in turns_of(recording)[:1]:
        if first.turned < -8.0:
            yield f"the first turn went {-first.turned:.0f} deg to starboard"


@mistake(
    "no rest between the turns",
    "after the first turn put time.sleep_ms(500).",
    costs=[rests_between],
    explains=[to_port, turns_back, knows],
)
@in_any_trial
def no_rest(recording: Recording) -> Iterator[str]:
    pause, at = pause_after(recording)
    if at is not None and pause < PAUSE_FULL:
        yield f"only {pause:.2f} s lay between the two turns"


@mistake(
    "the sum is not set to 0 before the way back",
    "begin each turn with angle = 0.",
    costs=[turns_back],
    explains=[knows],
)
@in_any_trial
def sum_kept(recording: Recording) -> Iterator[str]:
    turns = turns_of(recording)
    if len(turns) == 2 and turns[1].stopped and turns[0].way != turns[1].way:
        first, back = (abs(turn.driven) for turn in turns)
        if abs(first - QUARTER) < 10 and abs(back - 2 * QUARTER) < 14:
            yield f"{first:.0f} degrees to one side, then {back:.0f} back"


@mistake(
    "the way back never ends",
    "on the way back the angle goes below 0: go on while angle > -89, or compare angle * side.",
    costs=[turns_back],
    explains=[knows, motors_off, rests_between],
)
@in_any_trial
def no_end_back(recording: Recording) -> Iterator[str]:
    turns = turns_of(recording)
    running = recording.ended == "time is up"
    if running and len(turns) == 2 and turns[0].stopped and not turns[1].stopped:
        side = "port" if turns[1].way > 0 else "starboard"
        yield (
            f"the first turn ended at {abs(turns[0].driven):.0f} degrees; the second, to {side}, "
            f"had no end: {abs(turns[1].driven):.0f} degrees"
        )


def _sum_is_right(recording: Recording) -> bool:
    """Tell whether what was printed is how far it turned, so that the fault lies in the stop."""
    told = [(line.value, turned) for line, turned in at_each_rest(recording) if line]
    return all(abs(abs(value) - abs(turned)) <= KNOWS_FULL + 1.0 for value, turned in told)


@mistake(
    "stops too late",
    "slow down for the last 20 degrees, brake rather than coast, and stop a little before 90: the "
    "tug rolls on.",
    explains=[to_port, turns_back],
)
@in_any_trial
def stops_late(recording: Recording) -> Iterator[str]:
    for turn in turns_of(recording):
        sums = added(turn, raw)
        late = abs(turn.turned) > QUARTER + TURN_FULL and turn.stopped
        if late and sums and abs(sums[-1]) > 0.94 * QUARTER and _sum_is_right(recording):
            times = [sample.time for sample in turn.samples][-2:]
            yield (
                f"the motors stopped at {abs(turn.driven):.1f} degrees, then it rolled on to "
                f"{abs(turn.turned):.1f}; it was read every {1000 * (times[-1] - times[0]):.0f} ms"
            )


@mistake(
    "stops too early",
    "compare with a larger angle, or leave less for the rolling on.",
    explains=[to_port, turns_back],
)
@in_any_trial
def stops_early(recording: Recording) -> Iterator[str]:
    for turn in turns_of(recording):
        early = turn.stopped and abs(turn.turned) < QUARTER - TURN_FULL
        if early and added(turn, raw) and _sum_is_right(recording):
            yield (
                f"the motors stopped at {abs(turn.driven):.1f} degrees, and it came to rest at "
                f"{abs(turn.turned):.1f}"
            )


QUARTERS = Task(
    id="turn.quarter",
    title="A quarter turn, and back",
    program="quarter.py",
    runs=three_tugs(SECONDS, 6, 11),
    facts=Facts,
    criteria=CRITERIA,
    mistakes=(
        hardly_read,
        *READING,
        no_new_reading,
        replay.never_renewed,
        replay.wrong_unit,
        does_not_turn(8.0),
        faster_than_the_range.bound(explains=_ALL),
        by_the_clock,
        wrong_way,
        *(replay.bytes_added(*how) for how in (*DECODINGS[2:4], DECODINGS[0])),
        replay.scale_of_another_range,
        replay.bias_added_up,
        replay.measured_while_turning,
        replay.rest_counted,
        sum_kept,
        no_end_back,
        replay.step_assumed,
        motors.left_on.bound(costs=[motors_off], explains=_ALL),
        motors.not_ended.bound(costs=[motors_off], explains=[to_port, turns_back, knows]),
        motors.left_braked.bound(costs=[motors_off]),
        no_rest,
        mistake(
            "turns to one side only", "after a rest turn back: the same loop with the other sign.",
            costs=[turns_back], explains=[knows, rests_between],
        )(one_side_only),
        stops_late,
        stops_early,
        printed_early,
        stopped_adding,
        not_added_up,
        printed_as("the sign is lost", "print the angle as it was added up, without abs(): below "
                    "0 it is a turn to starboard.", -1.0, back_only=True),
        printed_as("degrees and radians mixed", "print the angle in degrees.", PER_DEG),
        mistake(
            "a line is missing or reads otherwise", 'after each turn print("turned", angle).',
            costs=[knows],
        )(in_any_trial(line_missing("turned"))),
        time_left_out,
        sum_is_wrong,
    ),
)  # fmt: skip
"""Twelve points."""
