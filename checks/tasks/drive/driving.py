"""Driving: what the tasks of the lesson `drive` look at, and the mistakes that all may show."""

from __future__ import annotations

import math
from functools import cached_property
from itertools import pairwise

from robotsim import PINS

from ...readings.bench import needed
from ...readings.motion import (
    MOTOR_PINS,
    SIDES,
    STILL,
    Move,
    Phase,
    Way,
    at_rest,
    driven,
    hit_wall,
    mean_duty,
    moves,
    rolled,
    still_driven,
    top_duty,
)
from ...readings.pairing import astray
from ...readings.together import together
from ...task import Clues, Criterion, Evidence, Facts, Finding, criterion, mistake
from ...words import amount
from .. import motors
from ..motors import motor_names, percent

__all__ = [
    "ANY_TASK", "PULSES", "Driving", "below_the_start_duty", "one_after_the_other",
    "one_side_backwards", "stops", "to_port",
]  # fmt: skip

_STOOD = 0.001
"""Rim speed in m/s that a wheel never reaches if it stands."""
_A_WHILE_S = 0.1
_UNEVEN = 0.004
"""Duties that differ by less are meant to be equal."""


class Driving(Facts):
    """What the recording of a drive says."""

    @cached_property
    def way(self) -> Way:
        """Where the tug went."""
        return Way.of(self.recording)

    @cached_property
    def wall(self) -> float | None:
        """When it came to a wall, in s, or None."""
        return hit_wall(self.recording)

    @cached_property
    def phases(self) -> dict[str, list[Phase]]:
        """Side to the phases in which its motor was driven."""
        return {side: driven(self.recording, side) for side in SIDES}

    @cached_property
    def rolled(self) -> dict[str, float]:
        """Side to how far its wheel rolled in m, ahead positive, up to a wall."""
        return {side: rolled(self.recording, side, self.wall) for side in SIDES}

    @cached_property
    def duty(self) -> dict[str, float]:
        """Side to the mean duty of its motor while it was driven."""
        return {side: mean_duty(self.recording, side) for side in SIDES}

    @cached_property
    def top(self) -> dict[str, float]:
        """Side to the largest duty that its motor got, not signed."""
        return {side: top_duty(self.recording, side) for side in SIDES}

    @cached_property
    def needed(self) -> dict[str, float]:
        """Side to the duty at which its wheel usually starts."""
        return needed(self.recording)

    @cached_property
    def driven_s(self) -> dict[str, float]:
        """Side to how long its motor was driven, in s."""
        return {side: math.fsum(p.seconds for p in self.phases[side]) for side in SIDES}

    @cached_property
    def moves(self) -> list[Move]:
        """The straight stretches and the turns on the spot."""
        return moves(self.recording)

    @cached_property
    def alone_s(self) -> dict[str, float]:
        """Side to how long its motor was driven while the other one was not, in s."""
        both = math.fsum(together(self.recording))
        return {side: seconds - both for side, seconds in self.driven_s.items()}

    @cached_property
    def alike_s(self) -> float:
        """For how long both motors were driven, and both wheels turned, the same way, in s."""
        both, tracks = together(self.recording), self.recording.tracks
        pairs = zip(*(tracks[side] for side in SIDES), strict=True)
        turned = sum(1 for a, b in pairs if a * b > 0 and min(abs(a), abs(b)) > STILL)
        step = tracks["t"][1]
        return min(both.ahead + both.astern, turned * step)

    @property
    def by_turns(self) -> bool:
        """Whether each motor was driven alone for a while, longer than both turned alike."""
        return min(self.alone_s.values()) > max(_A_WHILE_S, self.alike_s)

    @property
    def turned_deg(self) -> float:
        """How far it had turned at the end, in degrees, to port positive."""
        return math.degrees(self.way.turned[-1])

    @property
    def more(self) -> str:
        """The side whose motor got the more duty; "" where both got the same."""
        difference = self.duty["left"] - self.duty["right"]
        return "" if abs(difference) < _UNEVEN else "left" if difference > 0 else "right"

    def stood(self, side: str) -> bool:
        """Tell whether a wheel never turned."""
        return max(map(abs, self.recording.tracks[side])) < _STOOD

    @cached_property
    def pauses(self) -> list[float]:
        """How long both motors were left alone from each move to the next, in s."""
        spans: list[tuple[float, float, tuple[bool, ...]]] = []
        edges = sorted({t for ps in self.phases.values() for p in ps for t in (p.begin, p.end)})
        for begin, end in pairwise(edges):
            signs = tuple(self._sign(side, (begin + end) / 2) for side in SIDES)
            if not any(signs) or end - begin < _SETTING_S:
                continue
            ways = tuple(sign > 0 for sign in signs)
            if spans and spans[-1][2] == ways and begin - spans[-1][1] < _SETTING_S:
                spans[-1] = spans[-1][0], end, ways
            else:
                spans.append((begin, end, ways))
        return [after[0] - before[1] for before, after in pairwise(spans)]

    def _sign(self, side: str, time: float) -> int:
        duty = next((p.duty for p in self.phases[side] if p.begin <= time < p.end), 0.0)
        return (duty > 0) - (duty < 0)


_NONE = Phase(0.0, 0.0, 0.0, 0.0, 0.0)
_SETTING_S = 0.005
"""It may take as long, in s, to set the inputs of both motors one after the other."""


def to_port(degrees: float) -> str:
    """Give a turn in words: `93 degrees to port`."""
    return f"{amount(abs(degrees), 0)} degrees to {'port' if degrees >= 0 else 'starboard'}"


def stops(seconds: float) -> Criterion:
    """Make the criterion that a tug stops within the time of its trial, and not by a wall."""

    @criterion(
        "It stops by itself", 1, asks=f"within {seconds:g} s at rest, no motor driven, and clear "
        "of the walls",
    )  # fmt: skip
    def judge(seen: Driving) -> Finding:
        end = seen.recording.seconds
        if seen.wall is not None:
            return Finding(0.0, f"ran into the wall at {seen.wall:.1f} s", at=seen.wall)
        if sides := still_driven(seen.recording):
            return Finding(0.0, f"{motor_names(sides)} still driven at the end", at=end)
        if not at_rest(seen.recording):
            return Finding(0.0, "still moving at the end", at=end)
        return Finding(1.0, "at rest, no motor driven")

    return judge


@mistake("below the start duty", "raise that motor's duty by 0.01 at a time until its wheel turns.")
def below_the_start_duty(seen: Driving) -> Clues:
    """A wheel stood still although its motor was driven, or the other one dragged it back."""
    for side in SIDES:
        given = seen.top[side]
        dragged = seen.rolled[side] < 0 and min(p.duty for p in seen.phases[side] or [_NONE]) > 0
        if 0.0 < given < seen.needed[side] + 0.08 and (seen.stood(side) or dragged):
            coasts = all(phase.fast for phase in seen.phases[side])
            yield Evidence(
                f"the {side} wheel did not turn: its motor got at most {percent(given)}",
                _COASTS if coasts else "",
            )


_COASTS = (
    "between its pulses that motor coasts (fast decay), and so it needs far more to start: hold "
    "its ahead input high and put the pulses on the back input, then raise by 0.01 at a time."
)


@mistake(
    "one side runs backwards",
    "both motors must turn ahead here: compare the pins and the signs of left and right.",
)
def one_side_backwards(seen: Driving) -> Clues:
    """The wheels turned against each other all the way."""
    left, right = (rolled(seen.recording, side) for side in SIDES)
    if left * right < 0 and min(abs(left), abs(right)) > 0.03:
        back, ahead = SIDES if left < 0 else SIDES[::-1]
        yield (
            f"the {ahead} wheel rolled {max(left, right):.2f} m ahead and the {back} one "
            f"{-min(left, right):.2f} m back, so the tug spun on the spot"
        )


@mistake(
    "one motor after the other",
    "start both motors, one right after the other, then one sleep, then stop both.",
)
def one_after_the_other(seen: Driving) -> Clues:
    """Each motor was driven while the other one was not."""
    if seen.by_turns:
        left, right = seen.alone_s.values()
        yield (
            f"the left motor was driven alone for {left:.2f} s, the right one for {right:.2f} s, "
            f"and both wheels turned alike for {seen.alike_s:.2f} s: alone, a wheel turns the tug"
        )


@mistake(
    "a back input on the pin of the other motor",
    "the left motor's back input is pin {left_back}, the right one's {right_back}: compare them "
    "with the pins of your program.".format(**PINS),
    sure=False,
)
def back_input_astray(seen: Driving) -> Clues:
    """A motor's ahead input was set together with the back input of the other one."""
    told = [
        f"pin {back} with pin {ahead}, the {side} motor's ahead input"
        for ahead, back in astray(seen.recording).items()
        for side in SIDES
        if ahead in MOTOR_PINS[side]
    ]
    if told:
        yield f"it set {' and '.join(told)}"


PULSES = (
    motors.begun_at_half,
    motors.wrong_scale,
    motors.never_driven,
    motors.no_sleep,
    motors.too_many_pulses,
)
"""What may be wrong with the pulses themselves."""
ANY_TASK = (
    *PULSES,
    back_input_astray,
    below_the_start_duty,
    motors.one_side_only,
    motors.ahead_and_back_swapped,
)
"""What may spoil every task of the lesson, whatever was lost."""
