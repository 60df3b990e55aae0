"""Pairing: which inputs of the two bridges a program sets one right after the other."""

from __future__ import annotations

from collections.abc import Sequence

from robotsim import Recording
from robotsim.outputs import Output

from .motion import MOTOR_PINS

__all__ = ["astray"]

_BACK = dict(MOTOR_PINS.values())
"""Ahead input to the back input of the same motor."""
_BURST_S = 0.002
"""What a program sets within so long of the last it sets in one go."""


def astray(recording: Recording) -> dict[int, int]:
    """Give the ahead inputs that go with a back input of the other motor, pin to that pin.

    Who sets one motor after the other sets its two inputs in a row.  Nothing is told where this is
    done rightly as well, where both back inputs get the same, and where the right motor comes
    first: then it may be the ahead inputs that are exchanged, and held high those are alike.
    """
    found: dict[int, int] = {}
    bursts = _bursts(recording)
    used = {told.pin for burst in bursts for told in burst}
    for burst in bursts:
        backs = [told for told in burst if told.pin not in _BACK]
        if len(backs) != 2 or backs[0].duty_u16 == backs[1].duty_u16:
            continue
        if backs[0].pin == backs[1].pin:  # one of them was set for both motors
            pairs = {} if used >= {*_BACK.values()} else dict.fromkeys(_BACK, backs[0].pin)
        else:
            pairs = _pairs([told.pin for told in burst])
        if pairs == _BACK:
            return {}
        found = {ahead: back for ahead, back in pairs.items() if _BACK[ahead] != back} or found
    return found


def _pairs(pins: Sequence[int]) -> dict[int, int]:
    """Give which back input was set with each ahead input: both first, or both behind."""
    if len(pins) == 4:
        for aheads, backs in ((pins[::2], pins[1::2]), (pins[1::2], pins[::2])):
            pairs = dict(zip(aheads, backs, strict=True))
            if [*pairs] == [*_BACK] or pairs == _BACK:
                return pairs
    return {}


def _bursts(recording: Recording) -> list[list[Output]]:
    """Give what the motors' pins were set to, each time in one go; a 0 belongs to none."""
    bursts: list[list[Output]] = [[]]
    for told in recording.outputs(*_BACK, *_BACK.values()):
        if not told.ordered:
            continue
        last = bursts[-1][-1] if bursts[-1] else told
        if not told.duty_u16 or told.seconds - last.seconds > _BURST_S:
            bursts.append([])
        bursts[-1] += [told] if told.duty_u16 else []
    return bursts
