"""Printed angles: mistakes in what a program prints of its turns, in `turn.quarter`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from robotsim import Recording

from ...readings.sensors import bus, heading_deg, printed, rests
from ...task import Clues, Facts, Mistake, mistake
from ...words import named_trials
from .quarter import KNOWS_FULL, at_each_rest, knows, one_number, to_port, turns_back
from .sensing import in_any_trial
from .turns import slept_between, spread, turns_of

__all__ = [
    "not_added_up", "printed_as", "printed_early", "stopped_adding", "sum_is_wrong",
    "time_left_out", "told_rightly",
]  # fmt: skip


def told_rightly(recordings: Sequence[Recording]) -> bool:
    """Tell whether the sums that were printed are the turns, so that no time was left out."""
    stood = [one for recording in recordings for one in at_each_rest(recording)]
    told = [(abs(line.value), abs(turned)) for line, turned in stood if line]
    return bool(told) and all(abs(value - turned) <= KNOWS_FULL for value, turned in told)


_ALIKE = 0.006
"""Shares of turns that differ by no more than this are one: so much is noise, and a last step."""


@mistake(
    "a part of each round's time is left out",
    "look at the clock once in a round: now = time.ticks_us(); then before = now, the same look. "
    "What passes between two looks is in no step.",
    explains=[knows, to_port, turns_back],
    sure=False,
)
def time_left_out(seen: Facts) -> Clues:
    """Every sum is too small by one share, which is less than the program was awake."""
    shares, clues = [], []
    for name, recording in named_trials(seen.recordings):
        for turn, line in zip(turns_of(recording), printed(recording, "turned"), strict=False):
            awake = 1 - slept_between(recording, turn.begin, turn.end) / (turn.end - turn.begin)
            true = heading_deg(recording, line.time) - heading_deg(recording, turn.begin)
            short = 1 - line.value / true if true else 0.0
            went_on = bus(recording).between(turn.end + 0.01, turn.end + 0.15)
            if not (turn.stopped and went_on and 2 * _ALIKE < short < awake + _ALIKE):
                return
            shares.append(short)
            clues.append(
                f"{name}it told {line.value:.1f} degrees where it had turned {true:.1f}: too "
                f"little by {100 * short:.1f} %, and so after every turn; {100 * awake:.1f} % of "
                "the time it did not sleep"
            )
    if len(shares) > 2 and spread(shares) < _ALIKE:
        yield from clues


@mistake(
    "what is added up is not the turn",
    "print the angle after the turn and compare it with the real one: is the bias taken off, is "
    "each step's own time taken, does each turn begin at 0?",
    costs=[knows],
    explains=[to_port, turns_back],
    sure=False,
)
@in_any_trial
def sum_is_wrong(recording: Recording) -> Iterator[str]:
    """What was printed is not what was turned."""
    for line, turned in at_each_rest(recording):
        if line and abs(line.value - turned) > KNOWS_FULL:
            yield f"it printed {line.value:.1f} where it had turned by {turned:.1f} degrees"


def printed_as(name: str, hint: str, unit: float, back_only: bool = False) -> Mistake:
    """Make the mistake of angles that are right but for a factor."""

    @mistake(name, hint, costs=[knows])
    def look(seen: Facts) -> Clues:
        told = [one for recording in seen.recordings for one in at_each_rest(recording)]
        lines = [(one.value, turned) for one, turned in told if one]
        lines = [(value, turned) for value, turned in lines if turned < 0 or not back_only]
        if lines and all(abs(value / unit - turned) <= 4.0 for value, turned in lines):
            value, turned = lines[-1]
            yield f"it told {value:g} where it had turned by {turned:.1f} degrees"

    return look


@mistake(
    "the angle printed before the tug stood",
    "go on reading and adding for 0.2 s after the stop, then print.",
    costs=[knows],
)
@in_any_trial
def printed_early(recording: Recording) -> Iterator[str]:
    """A line came while the tug still rolled on."""
    for line in printed(recording, "turned"):
        after = next((rest for rest in rests(recording)[1:] if rest.begin >= line.time), None)
        moved = abs(heading_deg(recording, line.time) - after.heading) if after else 0.0
        if 0.5 < moved <= 30:
            yield (
                f"`turned {line.value:.1f}` was printed at {line.time:.2f} s, while it still "
                f"rolled on by {moved:.1f} degrees"
            )


@mistake(printed_early.name, printed_early.hint, costs=[knows])
@in_any_trial
def stopped_adding(recording: Recording) -> Iterator[str]:
    """Nothing was read any more while the tug rolled on."""
    for turn, (line, _) in zip(turns_of(recording), at_each_rest(recording), strict=False):
        after = bus(recording).between(turn.end + 0.01, turn.end + 0.15)
        own = line and abs(abs(line.value) - abs(turn.driven)) < 1.0
        if own and not after and abs(turn.turned) - abs(turn.driven) > 1.0:
            yield (
                f"nothing was read after the motors had stopped at {abs(turn.driven):.1f} "
                f"degrees; it rolled on to {abs(turn.turned):.1f}"
            )


@mistake(
    "a number printed that was not added up",
    'print the sum itself, with a digit after the point: print("turned %.1f" % angle).',
    costs=[knows],
)
def not_added_up(seen: Facts) -> Clues:
    """One number came after every turn."""
    words = one_number(seen)
    if words:
        yield words
