"""Known mistake of `lamps.signal`: one of the mast's six lengths is missing, and the rest go on."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from ...task import Clues, mistake
from .signal import PATTERN, Pattern, Signal, fit, keeps_time, log, pattern
from .signal_lamps import FITS

__all__ = ["length_missing"]

LENGTHS = tuple(itertools.chain.from_iterable(PATTERN))
"""Lit and dark in turn, s."""
ALL_FIT = 0.95
"""A mast of whose lengths this share fits goes on in just that way."""
Stretches = list[tuple[bool, float]]
"""Whether the mast is lit, and for how long, s."""


def _in_turn(lengths: tuple[float, ...]) -> Stretches:
    return [(place % 2 == 0, length) for place, length in enumerate(lengths)]


def _without(k: int) -> Iterator[tuple[Stretches, str]]:
    """Give what a mast does again and again, and why, as programs go on without the length `k`."""
    every, rest = _in_turn(LENGTHS), LENGTHS[:k] + LENGTHS[k + 1 :]
    one = f"one of {LENGTHS[k]:g} s"
    yield _in_turn(rest), f"{one} left out"  # each round begins lit
    yield _in_turn(rest * 2), f"{one} left out"  # lit and dark always change
    yield every[:k] + every[k + 1 :], f"{one} left out"  # each length knows which it is
    yield [(lit != (j == k), s) for j, (lit, s) in enumerate(every)], f"{one} not shown"
    two = f"one of {LENGTHS[k]:g} s and the next left out"
    yield every[:k] + every[k + 2 :], two


def _cycle(stretches: Stretches) -> Pattern:
    """Give the flashes and pauses of stretches that come round and round."""
    first = next(k for k in range(len(stretches)) if stretches[k][0] and not stretches[k - 1][0])
    round_and_round = stretches[first:] + stretches[:first]
    alike = itertools.groupby(round_and_round, key=lambda stretch: stretch[0])
    lengths = [sum(seconds for _, seconds in some) for _, some in alike]
    return list(zip(lengths[::2], lengths[1::2], strict=True))


@mistake(
    "a length of the signal is missing",
    "count them: 0.3 s on, 0.3 off, 0.3 on, 0.3 off, 0.9 on, 1.9 off are six, and the next signal "
    "begins after the sixth.",
    costs=[pattern],
    explains=[keeps_time, log],
)
def length_missing(seen: Signal) -> Clues:
    """Tell a mast that does again and again what comes of the lengths with one left out."""
    lights = seen.mast[1:]  # the first flash has none before it that would run into it
    if len(lights) < 5 or fit(seen.mast, PATTERN) > FITS:
        return
    for k in range(len(LENGTHS)):
        for stretches, why in _without(k):
            cycle = _cycle(stretches)
            for turn in range(len(cycle)):
                if fit(lights, [*cycle[turn:], *cycle[:turn]], 1) > ALL_FIT:
                    rounds = ", ".join(f"{on:.1f} s on, {off:.1f} s off" for on, off in cycle)
                    yield f"the mast goes round {rounds}: the signal's lengths with {why}"
                    return
