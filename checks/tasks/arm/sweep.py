"""Task `arm.sweep`: the mistakes that are made in it, and the task itself."""

from __future__ import annotations

import itertools

from ...readings.arm import PER_DEG, silent_since, us_of
from ...task import Clues, Run, Task, mistake
from ...words import amount
from . import servo
from . import sweep_criteria as asked
from .sweep_criteria import Sweep

__all__ = ["SWEEP"]

_FULL_RATE_S = 0.6
"""A way across in less is one at the servo's full rate; so is the way back in half of it."""


def _took(begin: float, seconds: float, degrees: float) -> str:
    return f"from {begin:.2f} s on it took {seconds:.2f} s for {degrees:.0f} degrees"


@mistake(*servo.NO_TIME, costs=[asked.both_sides], explains=asked.CRITERIA)
def no_time(seen: Sweep) -> Clues:
    yield from servo.called_off(seen.recording, -1.0, asked.GAUGE, 0.3)


@mistake(*servo.MIRRORED)
def mirrored(seen: Sweep) -> Clues:
    yield from servo.port_first(seen.recording)


@mistake(
    "jumped instead of swept",
    "a servo always goes as fast as it can: give many small orders, and sleep for about 20 ms "
    "after each.",
    costs=[asked.two_seconds, asked.steady], explains=[asked.slowly_back],
)  # fmt: skip
def jumped(seen: Sweep) -> Clues:
    if seen.across and seen.across_s <= _FULL_RATE_S:
        yield _took(seen.across[0], seen.across_s, 2 * asked.GAUGE)


@mistake(
    "steps too big", "make the steps smaller, 1 or 2 degrees, and the sleeps shorter.",
    costs=[asked.steady], explains=[asked.two_seconds, asked.slowly_back],
)  # fmt: skip
def big_steps(seen: Sweep) -> Clues:
    if seen.across is None:
        return
    begin, end = seen.across
    under = [t.us for t in seen.orders if begin - 0.2 <= t.begin <= end]
    largest = max((abs(b - a) / PER_DEG for a, b in itertools.pairwise(under)), default=0.0)
    if largest >= 6.0:
        yield f"the sweep went in steps of up to {largest:.0f} degrees"


@mistake(
    "another angle than asked",
    "45 degrees to either side are 1000 and 2000 us: us = 1500 + angle * 1000 / 90.",
)
def other_angle(seen: Sweep) -> Clues:
    low, high = max(0.0, -min(seen.track)), max(seen.track)
    least, most = sorted((low, high))
    if most > asked.SIDE + 10.0 or (
        least < asked.SIDE - 10.0 and not any(servo.waiting(seen.recording))
    ):
        yield f"the arm went as far as {low:.0f} degrees to starboard and {amount(high, 0)} to port"


@mistake(
    "sweep too fast or too slow", "seconds for each step = 2 / number of steps.",
    costs=[asked.two_seconds], explains=[asked.steady, asked.slowly_back, asked.port, asked.ahead],
)  # fmt: skip
def pace(seen: Sweep) -> Clues:
    if seen.across:
        whole = seen.across_s * asked.SIDE / asked.GAUGE
        yield (
            f"{2 * asked.GAUGE:.0f} degrees took {seen.across_s:.2f} s, so {2 * asked.SIDE:.0f} "
            f"would take {whole:.2f} s"
        )


@mistake(
    "the last order is not for straight ahead",
    "it must be for 0, with the trim in it: `range(45, -1, -1)` ends there, `range(45, 0, -1)` "
    "at 1; and whoever writes 1500 there leaves the trim out.",
    costs=[asked.ahead],
)
def other_end(seen: Sweep) -> Clues:
    if seen.end and seen.middle_us and 6.0 < abs(seen.end[0] - seen.middle_us) < 130.0:
        yield (
            f"half-way between the pulses of the two sides is {seen.middle_us:.0f} us; the last "
            f"pulse was {seen.end[0]:.0f} us, and the arm ended at {amount(seen.end[1], 1)} degrees"
        )


@mistake(
    "no trim given", "measure where the arm stands at 1500 us, and add TRIM to every pulse.",
    costs=[asked.ahead], explains=[asked.starboard, asked.port],
)  # fmt: skip
def trim_left(seen: Sweep) -> Clues:
    if seen.end and abs(seen.end[0] - us_of(0.0)) <= 8.0 and 1.0 < abs(seen.end[1]) < 8.0:
        us, angle = seen.end
        yield f"the last pulse was {us:.0f} us, and the arm stood at {angle:.1f} degrees"


@mistake(
    "trim not right",
    "TRIM is this tug's own: if the arm stands to port, make it smaller by 11 us a degree.",
    costs=[asked.ahead], explains=[asked.starboard, asked.port],
)  # fmt: skip
def trim_wrong(seen: Sweep) -> Clues:
    if seen.end and 1.0 < abs(seen.end[1]) < 12.0 and abs(seen.end[0] - us_of(0.0)) <= 130.0:
        us, angle = seen.end
        yield (
            f"with a last pulse of {us:.0f} us the arm stood at {angle:.1f} degrees, about "
            f"{abs(angle) * PER_DEG:.0f} us too {'long' if angle > 0 else 'short'}"
        )


@mistake(
    "held for too short a time",
    "sleep for a second at each end.",
    explains=[asked.starboard, asked.port],
)
def short_hold(seen: Sweep) -> Clues:
    for side in (-asked.SIDE, asked.SIDE) if seen.across else ():
        time = seen.held(side, 4.5)  # also where the trim is not right
        if time < asked.HOLD_S - asked.HOLD_OFF_S:
            yield f"it stood at {side:.0f} degrees for {time:.2f} s"


@mistake(
    "jumped back", "sweep back in small steps too, at the same speed.", costs=[asked.slowly_back]
)
def jumped_back(seen: Sweep) -> Clues:
    if seen.back and seen.back_s <= _FULL_RATE_S / 2:
        yield _took(seen.back[0], seen.back_s, asked.GAUGE - asked.UPRIGHT)


@mistake(*servo.WAITING)
def still_back(seen: Sweep) -> Clues:
    if seen.back is None:
        yield from servo.waiting(seen.recording)


@mistake(
    "the arm is not brought back", "end with the pulse for straight ahead.",
    costs=[asked.ahead], explains=[asked.slowly_back],
)  # fmt: skip
def left_aside(seen: Sweep) -> Clues:
    if abs(seen.track[-1]) > 6.0:
        yield f"it ended at {seen.track[-1]:.0f} degrees"


@mistake(
    "pulses taken away at the end",
    "let the last order stand: without pulses a servo lets go of its place.",
    costs=[asked.ahead],
)
def off_at_the_end(seen: Sweep) -> Clues:
    since = silent_since(seen.recording)
    if since is not None:
        yield f"no pulses came from {since:.2f} s on"


SWEEP = Task(
    id="arm.sweep",
    title="Sweep and hold",
    program="sweep.py",
    runs=(Run(asked.SECONDS),),
    criteria=asked.CRITERIA,
    mistakes=(
        *servo.UNHEARD, servo.pressed(), no_time, mirrored, jumped,
        big_steps, other_angle, pace, other_end, trim_left, trim_wrong, short_hold, jumped_back,
        still_back, left_aside, off_at_the_end,
    ),
    facts=Sweep,
)  # fmt: skip
