"""Task `line.onoff`: once round the quay."""

from __future__ import annotations

from ...readings.motion import still_driven
from ...task import Clues, Criterion, Finding, Run, Task
from ..trials import judged, known
from . import eyes, steering, weaving
from .following import BY_THE_WAY, START, came, close, covered, goes_all_the_way, stopped
from .trial import Line, Trial, bound

__all__ = ["ONOFF"]

SECONDS = 30.0
NEAR_LINE, FAR_OFF = 0.025, 0.060
"""So far off the line, in m, earns all, and nothing."""

goes_round = goes_all_the_way(
    "It goes round the quay", 4, f"all the way round within {SECONDS:.0f} s"
)
keeps = close("It keeps to the line", 3, NEAR_LINE, FAR_OFF)


def _stops(one: Trial) -> Finding:
    """Judge the stop at the end of a round: by the share of the way to it."""
    found = stopped(one)
    if covered(one) == 1.0:
        return found
    return Finding(found.share * covered(one), f"{found.measured}; {came(one)}")


stops = Criterion(
    "It stops at the end", 1, judged(_stops),
    asks=f"at rest, both motors off (neither driven nor braked), when the {SECONDS:.0f} s are "
    f"over; {BY_THE_WAY}",
)  # fmt: skip


@known(
    "motors left on",
    "let the loop end after 27 s, with `ticks_ms()` and `ticks_diff()`, and stop both motors.",
    costs=[stops],
)
def goes_on(one: Trial) -> Clues:
    went = one.went
    if went.end is not None and not one.finished and still_driven(one.recording):
        yield f"it was round at {went.t[went.end]:.1f} s, and drove on until the time was up"


@known(
    "the program ends too soon",
    "`ticks_ms()` counts thousandths of a second: 27 seconds are 27000 of them; and with a mean "
    "effort below 0.5 the tug needs longer.",
    costs=[goes_round], explains=[keeps, stops],
)  # fmt: skip
def ends_early(one: Trial) -> Clues:
    yield from steering.stopped_on_its_way(one)


@known(
    "too slow for the time",
    f"the check ends after {SECONDS:.0f} s: drive both wheels harder, a mean effort of 0.5 or so.",
    costs=[goes_round], explains=[keeps, stops],
)  # fmt: skip
def too_slow(one: Trial) -> Clues:
    went = one.went
    if went.begin is not None and went.lost is None and went.end is None and not one.finished:
        speed = went.metres / went.seconds if went.seconds > 0 else 0.0
        yield f"it made {speed:.2f} m/s, and came {max(went.gone):.2f} of {went.goal:.2f} m"


_EVERY = (goes_round, keeps, stops)

ONOFF = Task(
    id="line.onoff",
    title="On and off",
    program="onoff.py",
    runs=(Run(SECONDS, "quay"), Run(SECONDS, "quay", seed=4)),
    criteria=_EVERY,
    mistakes=(
        *START, *steering.AWAY,
        *bound([eyes.left_on, eyes.left_braked], costs=[stops], explains=[goes_round]),
        goes_on, ends_early, too_slow,
        *bound([steering.gain_low, weaving.gain_high, steering.biased], explains=_EVERY),
    ),
    facts=Line,
)  # fmt: skip
"""Eight points."""
