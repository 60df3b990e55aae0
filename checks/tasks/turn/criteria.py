"""Tasks of the lesson `turn`: wake and identify, degrees a second, a quarter turn."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Sequence

from robotsim import Recording

from ...readings.motion import at_rest, still_driven
from ...readings.sensors import ADDRESS, POWER, RATE_Z, WHO_AM_I, Said, bus, rests, said
from ...task import Criterion, Finding, Run, Task, share
from . import mistakes as known
from .evidence import SETTLE_S, TURNING, motors, numbers, which
from .rates import compared

__all__ = ["TASKS"]

Recordings = Sequence[Recording]
Judged = tuple[float, str, float | None]
"""What one recording earns as a share, what was measured in it, and when to look."""

MIDDLE = (0.60, 0.40, 0.0)
PORT_BIAS, STARBOARD_BIAS = 94, 133
"""Two tugs whose sensor shows much at rest, 4.4 deg/s one way and 4.5 the other.  At the same
effort the first turns faster than the other by a quarter, so counting seconds will not do."""


def _mean(judge: Callable[[Recording], Judged], asked: str) -> Callable[[Recordings], Finding]:
    """Judge each recording; tell the worst, and give the mean."""

    def judged(recordings: Recordings) -> Finding:
        found = [judge(recording) for recording in recordings]
        worst = min(range(len(found)), key=lambda k: found[k][0])
        part, measured, at = found[worst]
        mean = sum(got for got, _, _ in found) / len(found)
        return Finding(mean, which(recordings, worst) + measured, asked, at, worst)

    return judged


def _off(recording: Recording) -> Judged:
    """Stands at the end, motors off."""
    sides = still_driven(recording)
    if sides:
        return 0.0, f"{motors(sides)} still driven at the end", recording.seconds
    if not at_rest(recording):
        return 0.0, "still moving at the end", recording.seconds
    return 1.0, "at rest, motors off", None


# -- turn.identify -----------------------------------------------------------


def _asked_who(recording: Recording) -> Judged:
    if any(read.covers(WHO_AM_I) for read in bus(recording).reads):
        return 1.0, f"register 0x75 of 0x{ADDRESS:02x} was read", None
    registers = sorted({f"0x{read.register:02x}" for read in bus(recording).reads})
    if not registers:
        return 0.0, f"nothing was read from 0x{ADDRESS:02x}", None
    return 0.4, f"register {', '.join(registers)} was read, not 0x75", None


def _woken(recording: Recording) -> Judged:
    reads = [read for read in bus(recording).reads if read.covers(RATE_Z)]
    settled = [s for s in (_awake_for(recording, read.time) for read in reads if read.awake)]
    if settled:
        told = f"awake for {1000 * max(settled):.0f} ms when the rate was read"
        return (1.0 if max(settled) >= SETTLE_S else 0.75), told, None
    woken = [w.time for w in bus(recording).writes if w.register == POWER and not w.value & 0x40]
    if woken:
        return 0.5, f"woken at {woken[0]:.3f} s, the rate was not read after that", woken[0]
    return 0.0, "asleep all the time", None


def _awake_for(recording: Recording, time: float) -> float:
    """Give for how long the sensor had been awake at a time, both in s."""
    since = time
    for write in bus(recording).writes:
        if write.register == POWER and write.time < time:
            asleep = bool(write.value & 0xC0)
            since = time if asleep else min(since, write.time)
    return time - since


def _tells(recording: Recording) -> Judged:
    identities = [r for r in bus(recording).reads if r.covers(WHO_AM_I)]
    truth = {
        "address": [(read.time, ADDRESS) for read in bus(recording).reads],
        "identity": [(r.time, r.data[WHO_AM_I - r.register]) for r in identities],
    }
    got, faults = 0.0, []
    for word, facts in truth.items():
        lines = said(recording, word)
        if not lines:
            faults.append(f"no line `{word} ...`")
        elif word == "identity" and all(time > lines[-1].time for time, _ in facts):
            faults.append("`identity` was printed before it was read")
        elif not any(number == lines[-1].value for _, number in facts):
            faults.append(f"`{word}` printed as 0x{int(lines[-1].value):02x}")
        else:
            got += 0.5
    return got, "; ".join(faults) or "address 0x68, identity 0x68", None


def _signed(recording: Recording) -> Judged:
    lines = said(recording, "raw")
    if not lines:
        return 0.0, "no line `raw ...`", None
    last = lines[-1]
    before = [s for s in bus(recording).samples if s.awake and s.time <= last.time]
    if any(sample.raw == last.value for sample in before):
        return 1.0, f"raw {last.value:g}, as the sensor sent it", None
    sent = f"the sensor had sent {before[-1].raw}" if before else "no rate had been read till then"
    return 0.0, f"raw {last.value:g} printed, but {sent}", last.time


IDENTIFY = Task(
    id="turn.identify",
    title="Wake it and ask who it is",
    program="identify.py",
    runs=(Run(1.5), Run(1.5, seed=3, serial=STARBOARD_BIAS)),
    criteria=(
        Criterion(
            "It asks the sensor who it is", 2,
            _mean(_asked_who, "register 0x75 read over the bus"), essential=True,
        ),
        Criterion("It wakes the sensor first", 2, _mean(_woken, "awake, and with time to settle")),
        Criterion(
            "It prints address and identity", 2,
            _mean(_tells, "lines `address 0x68` and `identity 0x68`, after it has answered"),
        ),
        Criterion(
            "It prints one raw rate, with its sign", 2,
            _mean(_signed, "a line `raw ...` with a number that the sensor sent, high byte first"),
        ),
    ),
    mistakes=known.IDENTIFY,
)  # fmt: skip


# -- turn.rate ---------------------------------------------------------------

RATE_FULL, RATE_NONE = 3.0, 12.0
REST_FULL, REST_NONE = 0.5, 4.0
_ENOUGH = 4


def _reads_turning(recording: Recording) -> Judged:
    lines = {
        way: [c for c in compared(recording) if way * c.true > TURNING] for way in (1, -1)
    }  # fmt: skip
    port, starboard = (len(lines[way]) for way in (1, -1))
    part = (min(port, _ENOUGH) + min(starboard, _ENOUGH)) / (2 * _ENOUGH)
    told = f"{port} lines `rate ...` from fresh readings while it turned to port"
    return part, f"{told}, {starboard} while it turned to starboard", None


_ALIKE = 0.2


def _turns_and_reads(recordings: Recordings) -> Finding:
    """Judge each trial, and refuse numbers that are the same on every tug: those were not read."""
    asked = f"at least {_ENOUGH} each way, made of what was read"
    found = _mean(_reads_turning, asked)(recordings)
    alike = [
        steady
        for way in (1, -1)
        if len(steady := _middles(recordings, way)) > 1
        and _unlike([true for _, true in steady]) > 0.05
        and _unlike([told for told, _ in steady]) < _ALIKE * _unlike([true for _, true in steady])
    ]
    if len(alike) < 2:
        return found
    told, true = alike[0][0][0], ", ".join(f"{rate:.0f}" for _, rate in alike[0])
    words = f"it printed {told:.0f} on every tug, and they turned at {true} deg/s"
    return Finding(0.0, words, asked)


def _middles(recordings: Recordings, way: int) -> list[tuple[float, float]]:
    """Give each trial's median of the printed and of the true rates of its steady turns one way."""
    found = []
    for recording in recordings:
        lines = [c for c in compared(recording) if way * c.true > TURNING and c.steady]
        if len(lines) >= 3:
            told = statistics.median(c.said for c in lines)
            found.append((told, statistics.median(c.true for c in lines)))
    return found


def _unlike(values: Sequence[float]) -> float:
    """Give by how much some numbers differ, as a share of the greatest."""
    most = max(map(abs, values))
    return (max(values) - min(values)) / most if most else math.inf


def _median(way: int) -> Callable[[Recording], Judged]:
    """Judge the rates while it turned steadily one way: the middle one of their errors."""

    def judge(recording: Recording) -> Judged:
        lines = [c for c in compared(recording) if way * c.true > TURNING and c.steady]
        if len(lines) < 3:
            return 0.0, f"only {len(lines)} rates of a steady turn were printed", None
        lines.sort(key=lambda c: abs(c.said - c.true))
        middle = lines[len(lines) // 2]
        off = abs(middle.said - middle.true)
        words = f"printed {middle.said:.1f} where it was {middle.true:.1f} deg/s"
        return share(off, full=RATE_FULL, none=RATE_NONE), words, middle.time

    return judge


def _still(recording: Recording) -> Judged:
    if not any(sample.awake for sample in bus(recording).samples):
        return 0.0, "the rate was never read from a sensor that is awake", None
    turned = [c.time for c in compared(recording) if abs(c.true) > TURNING]
    lines = [c for c in compared(recording) if abs(c.true) < 0.1]
    if len(lines) < 3 or not turned:
        return 0.0, f"{len(lines)} rates printed at rest", None
    value = statistics.median(c.said for c in lines)
    part = share(abs(value), full=REST_FULL, none=REST_NONE)
    return part, f"at rest it printed {value:.1f} deg/s", lines[0].time


RATE = Task(
    id="turn.rate",
    title="Degrees a second",
    program="rate.py",
    runs=(
        Run(7.0, start=MIDDLE),
        Run(7.0, start=MIDDLE, seed=5, serial=PORT_BIAS),
        Run(7.0, start=MIDDLE, seed=9, serial=STARBOARD_BIAS),
    ),
    criteria=(
        Criterion("It turns both ways and prints rates", 1, _turns_and_reads, essential=True),
        Criterion(
            "It is right to port", 3,
            _mean(_median(1), f"within {RATE_FULL:g} deg/s, a number above 0"),
        ),
        Criterion(
            "It is right to starboard", 3,
            _mean(_median(-1), f"within {RATE_FULL:g} deg/s, a number below 0"),
        ),
        Criterion(
            "It shows 0 at rest", 2,
            _mean(_still, f"at least 3 rates at rest, within {REST_FULL:g} deg/s of 0"),
        ),
        Criterion("It stops by itself", 1, _mean(_off, "at rest, motors not driven")),
    ),
    mistakes=known.RATE,
)  # fmt: skip


# -- turn.quarter ------------------------------------------------------------

TURN_FULL, TURN_NONE = 2.0, 10.0
KNOWS_FULL, KNOWS_NONE = 2.0, 8.0
QUARTER = 90.0


def _turns(recording: Recording) -> Judged:
    most = _farthest(recording)
    if not any(sample.awake for sample in bus(recording).samples):
        return 0.0, "the rate was never read from a sensor that is awake", None
    return min(most / 45.0, 1.0), f"turned up to {most:.0f} degrees from where it began", None


def _farthest(recording: Recording) -> float:
    """Give the greatest angle from where it began, in degrees, not signed."""
    heads = recording.tracks["heading"]
    return math.degrees(max(abs(heading - heads[0]) for heading in heads))


def _leg(number: int, wanted: float) -> Callable[[Recording], Judged]:
    """Judge one of the two turns by the headings at which the tug rested before and after it."""

    def judge(recording: Recording) -> Judged:
        headings = [rest.heading for rest in rests(recording)]
        if len(headings) <= number:
            words = f"it did not come to rest after turn {number}"
            if _farthest(recording) < 5.0:
                words = "it did not turn"
            elif number == 2 and len(headings) == 2:
                words = "it did not turn back and come to rest"
            return 0.0, words, None
        turned = headings[number] - headings[number - 1]
        part = share(abs(turned - wanted), full=TURN_FULL, none=TURN_NONE)
        if number == 2 and len(headings) > 3:
            return 0.0, f"it made {len(headings) - 1} turns in place of two", None
        return part, f"turned {_way(turned)}", rests(recording)[number].begin

    return judge


def _way(turned: float) -> str:
    return f"{abs(turned):.1f} degrees to {'port' if turned >= 0 else 'starboard'}"


def _knows(recording: Recording) -> Judged:
    lines, stops = said(recording, "turned"), rests(recording)
    if len(stops) < 2:
        return 0.0, "it did not turn and come to rest", None
    got: list[tuple[float, str]] = []
    for number in (1, 2):
        told = _told_of(number, lines, recording)
        if told is None:
            got.append((0.0, f"no line `turned ...` after turn {number}"))
            continue
        turned = stops[number].heading - stops[number - 1].heading
        part = share(abs(told.value - turned), full=KNOWS_FULL, none=KNOWS_NONE)
        got.append((part, f"printed {numbers(told.value)}, it had turned {turned:.1f}"))
    worst = min(got, key=lambda one: one[0])
    return sum(part for part, _ in got) / 2, worst[1], None


def _told_of(number: int, lines: Sequence[Said], recording: Recording) -> Said | None:
    """Find the last line that was printed after a turn's middle and before the next turn."""
    stops = rests(recording)
    if number >= len(stops):
        return None
    middle = (stops[number - 1].end + stops[number].begin) / 2
    until = recording.seconds
    if number + 1 < len(stops):
        until = (stops[number].end + stops[number + 1].begin) / 2
    mine = [line for line in lines if middle <= line.time <= until]
    return mine[-1] if mine else None


QUARTERS = Task(
    id="turn.quarter",
    title="A quarter turn, and back",
    program="quarter.py",
    runs=(
        Run(8.0, start=MIDDLE),
        Run(8.0, start=MIDDLE, seed=6, serial=PORT_BIAS),
        Run(8.0, start=MIDDLE, seed=11, serial=STARBOARD_BIAS),
    ),
    criteria=(
        Criterion(
            "It turns, and reads the sensor", 1,
            _mean(_turns, "a turn of 45 degrees or more, the sensor read and awake"),
            essential=True,
        ),
        Criterion(
            "It turns a quarter to port", 4,
            _mean(_leg(1, QUARTER), f"90 degrees, within {TURN_FULL:g}"),
        ),
        Criterion(
            "It turns a quarter back", 3,
            _mean(_leg(2, -QUARTER), f"90 degrees to starboard, within {TURN_FULL:g}"),
        ),
        Criterion(
            "It knows how far it turned", 3,
            _mean(_knows, f"after each turn a line `turned ...`, within {KNOWS_FULL:g} degrees"),
        ),
        Criterion("It switches the motors off", 1, _mean(_off, "at rest, motors not driven")),
    ),
    mistakes=known.QUARTER,
)  # fmt: skip

TASKS: tuple[Task, ...] = (IDENTIFY, RATE, QUARTERS)
