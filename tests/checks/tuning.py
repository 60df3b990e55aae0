"""Tuning: finds a program's constants for one tug as the lesson tells a learner to do it.

Run, look at the recording, correct one number, run again.  A program says in comments which
of its module-level constants are found so, by which aim, and between which bounds:

    # tune: TRIM drift -0.2 0.2

The search begins at the program's own numbers, or where a further line says:

    # first: SECONDS 2

A wrong program may spoil a constant once the others are found:

    # then: SIGN -1

What was found once is kept in `found.json`, so that a test need not search again: it tries the
kept numbers, and searches anew only where they no longer do. `python -m tests.checks.tuning` adds
what is lacking there; delete the file first to find all anew.
"""

from __future__ import annotations

import functools
import hashlib
import json
import math
import multiprocessing
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from checks import TASKS
from checks.course.regions import solved
from checks.readings.motion import Way, moves
from robotsim import Recording, run_trial

__all__ = ["AIMS", "WORKED", "Tunable", "kept", "put", "search", "tunables", "tuned", "worked"]

MEAN = ""
"""The ideal day, about which the others lie: one run on it stands for the mean of many."""
_FIRST = re.compile(r"^# first: (\w+) (\S+)$", re.M)
_THEN = re.compile(r"^# then: (\w+) (\S+)$", re.M)
_LINE = re.compile(r"^# tune: (\w+) (\w+) (\S+) (\S+)$", re.M)


class Tunable(NamedTuple):
    """A constant, what it is tuned by, and its bounds."""

    name: str
    aim: str
    low: float
    high: float


class Aim(NamedTuple):
    """What is read off a recording for one constant.

    `error` is signed and 0 where all is well. `share`, if there is one, is measured over wanted:
    then the constant is divided by it, as the lesson says of times.
    """

    error: Callable[[Recording], float]
    within: float
    share: Callable[[Recording], float] | None = None


def _slope(recording: Recording) -> float:
    way = Way.of(recording)
    return way.port[-1] / max(way.ahead[-1], 0.2)


def _ahead(recording: Recording) -> float:
    return Way.of(recording).ahead[-1]


def _radius(recording: Recording) -> float:
    way = Way.of(recording)
    return way.path / way.turned[-1] if abs(way.turned[-1]) > 0.05 else math.inf


def _turned(recording: Recording) -> float:
    return Way.of(recording).turned[-1]


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values) if values else 0.0


def _side(recording: Recording) -> float:
    return _mean([move.length for move in moves(recording) if move.straight])


def _bend(recording: Recording) -> float:
    return _mean([move.turned for move in moves(recording) if move.straight])


AIMS: dict[str, Aim] = {
    "drift": Aim(_slope, 0.012),
    "length": Aim(lambda r: _ahead(r) - 1.0, 0.012, lambda r: _ahead(r) / 1.0),
    "radius": Aim(lambda r: 1 / _radius(r) - 4.0, 0.05),
    "half": Aim(lambda r: _turned(r) - math.pi, 0.04, lambda r: _turned(r) / math.pi),
    "bend": Aim(_bend, 0.015),
    "turn": Aim(lambda r: _turned(r) - math.tau, 0.04, lambda r: _turned(r) / math.tau),
    "side": Aim(lambda r: _side(r) - 0.4, 0.008, lambda r: _side(r) / 0.4),
}
"""Aims other than the two start duties, which are found by trying from below."""

_RED = """
from machine import Pin
from neopixel import NeoPixel
np = NeoPixel(Pin(13), 5)
np[0] = (100, 0, 0)
np.write()
"""


def _red_first(serial: int) -> float:
    """Send red to a lamp and look: one that shows green takes the red byte first."""
    return float(run_trial(_RED, serial=serial, seconds=0.1, day=MEAN).lamps_at(0.1)[0][1] > 0)


_MIDDLE = """
from machine import Pin, PWM
import time
arm = PWM(Pin(18), freq=50, duty_ns=1000000)
time.sleep(0.6)
arm.duty_ns(1500000)
"""


def _arm_off(serial: int) -> float:
    """Send the arm to one side, then to 1500 us, and read the angle in degrees."""
    return math.degrees(run_trial(_MIDDLE, serial=serial, seconds=1.2, day=MEAN).at("arm", 1.2))


_TWO_EFFORTS = """
from machine import Pin, PWM
import time
pins = [PWM(Pin(n), freq=1000, duty_u16=65535) for n in (25, 26, 27, 14)]
for effort in (0.3, 0.6):
    pins[1].duty_u16(int(65535 * (1 - effort)))
    pins[3].duty_u16(int(65535 * (1 - effort)))
    time.sleep(1)
"""


@functools.cache
def _rest_and_gain(serial: int, side: str) -> tuple[float, float]:
    """Drive at two efforts, read both speeds, and give the line: effort = rest + gain * speed."""
    seen = run_trial(
        _TWO_EFFORTS, serial=serial, seconds=2.0, start=(0.2, 0.4, 0.0), day=MEAN
    )
    slow, fast = seen.at(side, 0.9), seen.at(side, 1.9)
    gain = 0.3 / (fast - slow)
    return round(0.3 - gain * slow, 3), round(gain, 3)


LOOKS: dict[str, Callable[[int], float]] = {
    "left_rest": lambda serial: _rest_and_gain(serial, "left")[0],
    "left_gain": lambda serial: _rest_and_gain(serial, "left")[1],
    "right_rest": lambda serial: _rest_and_gain(serial, "right")[0],
    "right_gain": lambda serial: _rest_and_gain(serial, "right")[1],
    "red_first": _red_first,
    "trim": lambda serial: round(-_arm_off(serial) * 100 / 9),
    "trim_deg": lambda serial: round(-_arm_off(serial), 1),
    "middle": lambda serial: 1500 + round(-_arm_off(serial) * 100 / 9),
}
"""Aims that one look at the tug settles."""

FEW = (0, 7, 104, 131)
"""The tugs on which all programs are tried: the one as drawn, the learners' own, two more."""

_STARTS = {"left_start": "left", "right_start": "right"}
RESERVE = 1.2
"""The lesson: a fifth more than the start duty, so that the wheel starts every time."""
_MOST_RUNS = 24
_SLOPES: dict[str, dict[str, float]] = {}
FOUND = Path(__file__).with_name("found.json")
_PROGRAMS = Path(__file__).parent.parent / "programs"
_LESSONS = Path(__file__).parent.parent.parent / "lessons"


def tunables(text: str) -> list[Tunable]:
    """Read which constants of a program are tuned."""
    return [Tunable(n, aim, float(low), float(high)) for n, aim, low, high in _LINE.findall(text)]


def put(text: str, values: Mapping[str, float]) -> str:
    """Put numbers into a program's module-level constants."""
    for name, value in values.items():
        text, found = re.subn(rf"^{name} = .*$", f"{name} = {value:g}", text, flags=re.M)
        assert found == 1, f"{name} is set {found} times at the left margin"
    return text


def tuned(task_id: str, text: str, serial: int) -> str:
    """Give a program with its constants for one tug: the kept ones, or else searched for."""
    if not tunables(text):
        return text
    values = kept().get(_key(task_id, text, serial))
    return _finished(text, search(task_id, text, serial) if values is None else values)


def _finished(text: str, values: Mapping[str, float]) -> str:
    return put(text, {**values, **{name: float(value) for name, value in _THEN.findall(text)}})


@functools.cache
def kept() -> dict[str, dict[str, float]]:
    """Give the numbers that were found before, by task, program and tug."""
    return json.loads(FOUND.read_text(encoding="utf-8")) if FOUND.is_file() else {}


def _key(task_id: str, text: str, serial: int) -> str:
    return f"{task_id} {hashlib.sha256(text.encode()).hexdigest()[:10]} {serial}"


def search(task_id: str, text: str, serial: int) -> dict[str, float]:
    """Find the constants of a program for one tug.

    Args:
        task_id: The task that the program is for.
        text: The program.
        serial: The tug.
    """
    wanted = tunables(text)
    task = TASKS[task_id]
    start, seconds = task.runs[0].start, task.runs[0].seconds

    def run(values: Mapping[str, float]) -> Recording:
        text_now = put(text, values)
        return run_trial(text_now, seconds=seconds, start=start, serial=serial, day=MEAN)

    values = {t.name: float(_now(text, t.name)) for t in wanted}
    values |= {name: float(value) for name, value in _FIRST.findall(text)}
    starts = [t for t in wanted if t.aim in _STARTS]
    if starts:
        values |= _lowest(run, values, starts)
    values |= {t.name: LOOKS[t.aim](serial) for t in wanted if t.aim in LOOKS}
    others = [t for t in wanted if t.aim in AIMS]
    assert len(starts) + len(others) + sum(t.aim in LOOKS for t in wanted) == len(wanted), wanted
    if not others:
        return values
    # What one tug has taught nearly holds for the next, so its first step has the right size.
    slopes = _SLOPES.setdefault(_key(task_id, text, -1), {})
    return _corrected(run, values, others, slopes)


def _now(text: str, name: str) -> str:
    found = re.search(rf"^{name} = (.*)$", text, re.M)
    assert found, f"no line sets {name}"
    return found.group(1)


def _lowest(
    run: Callable[[Mapping[str, float]], Recording],
    values: Mapping[str, float],
    starts: Sequence[Tunable],
) -> dict[str, float]:
    """Find the lowest of twenty steps at which each wheel turns by halving, and add a reserve."""
    bounds = {t.name: (0, 20) for t in starts}

    def at(t: Tunable, step: int) -> float:
        value = t.low + (t.high - t.low) * step / 20
        return round(value) if t.high > 1 else round(value, 3)

    while any(high - low > 1 for low, high in bounds.values()):
        tried = {t.name: sum(bounds[t.name]) // 2 for t in starts}
        recording = run({**values, **{t.name: at(t, tried[t.name]) for t in starts}})
        for t in starts:
            low, high = bounds[t.name]
            turning = sum(speed > 0.001 for speed in recording.tracks[_STARTS[t.aim]])
            bounds[t.name] = (low, tried[t.name]) if turning > 150 else (tried[t.name], high)
    lowest = {t.name: RESERVE * at(t, bounds[t.name][1]) for t in starts}
    return {name: round(value) if value > 1 else round(value, 3) for name, value in lowest.items()}


def _corrected(
    run: Callable[[Mapping[str, float]], Recording],
    values: dict[str, float],
    wanted: Sequence[Tunable],
    slopes: dict[str, float],
) -> dict[str, float]:
    """Correct one number at a time, the first in the list that is not right yet."""
    last: tuple[str, float, float] | None = None
    for _ in range(_MOST_RUNS):
        recording = run(values)
        errors = {t.name: AIMS[t.aim].error(recording) for t in wanted}
        if last and values[last[0]] != last[1] and errors[last[0]] != last[2]:
            slopes[last[0]] = (errors[last[0]] - last[2]) / (values[last[0]] - last[1])
        wrong = [t for t in wanted if abs(errors[t.name]) > AIMS[t.aim].within]
        if not wrong:
            return values
        t, aim = wrong[0], AIMS[wrong[0].aim]
        old, error = values[t.name], errors[t.name]
        last = (t.name, old, error)
        if aim.share and aim.share(recording) > 0.1:
            new = old / aim.share(recording)
        elif t.name in slopes:
            new = old - error / slopes[t.name]
        else:
            new = old + 0.1 * (t.high - t.low)
        span = 0.35 * (t.high - t.low)
        new = min(max(new, old - span, t.low), old + span, t.high)
        # A learner's numbers: milliseconds are whole, and four figures are enough.
        values = {**values, t.name: round(new) if t.high > 100 else float(f"{new:.4g}")}
    return values


WORKED: dict[str, str] = {
    "lamps.side": """
# tune: RED_FIRST red_first 0 1
""",
    "drive.start": """
# tune: LEFT left_start 0.10 0.30
# tune: RIGHT right_start 0.10 0.30
""",
    "drive.straight": """
# tune: TRIM drift -0.15 0.15
# tune: SECONDS length 1 9
# first: TRIM 0
# first: SECONDS 2
""",
    "drive.curve": """
# tune: INNER radius 0.3 0.6
# tune: SECONDS half 1 9
# first: INNER 0.45
# first: SECONDS 2
""",
    "drive.square": """
# tune: TRIM bend -0.15 0.15
# tune: TURN turn 0.3 1.2
# tune: SIDE side 1 4.5
# first: TRIM 0
""",
    "arm.sweep": """
# tune: TRIM trim -60 60
""",
    "radio.helm": """
# tune: LEFT_REST left_rest 0 4
# tune: LEFT_GAIN left_gain 0 4
# tune: RIGHT_REST right_rest 0 4
# tune: RIGHT_GAIN right_gain 0 4
""",
}
"""Task to how the constants of the lesson's worked solution are found.

The lesson's text is for learners and does not carry these lines.
"""


def worked(task_id: str) -> str:
    """Give the worked solution of a task from the lesson's text, with the lines that tune it."""
    lesson = (_LESSONS / f"{task_id.split('.')[0]}.md").read_text(encoding="utf-8")
    head = rf'^```python program="{re.escape(task_id)}"[^\n]*\n%%program [^\n]*\n'
    cell = re.search(head + "(.*?)^```$", lesson, re.M | re.S)
    assert cell, f"the lesson has no program cell of {task_id}"
    return WORKED.get(task_id, "").lstrip() + solved(cell.group(1))


def _find(job: tuple[str, str, int]) -> tuple[str, dict[str, float]]:
    return _key(*job), search(*job)


def _jobs(serials: Sequence[int], few: Sequence[int]) -> list[tuple[str, str, int]]:
    """Give all that is tuned: the worked solutions on all tugs, the other programs on a few."""
    jobs = [(task, worked(task), serial) for task in WORKED for serial in serials]
    for path in sorted(_PROGRAMS.glob("*/*/*.py")):
        task = f"{path.parent.parent.name}.{path.parent.name}"
        text = path.read_text(encoding="utf-8")
        if task in TASKS and tunables(text):
            jobs += [(task, text, serial) for serial in few]
    return jobs


def _write(found: Mapping[str, Mapping[str, float]]) -> None:
    rows = ",\n".join(f"{json.dumps(key)}: {json.dumps(found[key])}" for key in sorted(found))
    FOUND.write_text("{\n" + rows + "\n}\n", encoding="utf-8")


def main() -> None:
    """Search for the numbers that are not kept yet, drop those of programs that have changed."""
    jobs = {_key(*job): job for job in _jobs(range(201), FEW)}
    found = {key: values for key, values in kept().items() if key in jobs}
    lacking = [job for key, job in jobs.items() if key not in found]
    with multiprocessing.get_context("spawn").Pool() as pool:
        for count, (key, values) in enumerate(pool.imap_unordered(_find, lacking, chunksize=10)):
            found[key] = values
            if count % 50 == 49:
                _write(found)
                print(f"{count + 1} of {len(lacking)}", flush=True)
    _write(found)


if __name__ == "__main__":
    main()
