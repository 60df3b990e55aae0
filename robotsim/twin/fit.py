"""Fit: runs on the floor, measured with a ruler and by the tug's own gyro, refine its twin."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from statistics import mean, median_low
from typing import Any

import numpy as np

from ..errors import KitError
from ..parts import IDEAL, Quirks
from ..parts.battery import charge_at
from ..table import Table
from ..units import MS, SECOND
from ..wiring import FLOATING, Signal
from ..world import TugWorld
from .tug_file import FITTED, START, STRENGTH, Twin, at_rest

__all__ = [
    "OPEN", "FloorRun", "count_runs", "drive", "drive_legs", "fit", "read_run", "read_runs",
    "straight",
]  # fmt: skip

Leg = tuple[float, float, float]
"""Efforts of left and right, -1 to 1, and s."""
OPEN = Table("open floor", 40.0, 40.0, (20.0, 20.0, 0.0), walls=False)
_HZ = 1000.0
_COAST_S, _METRE_S = 0.6, 5.6
_AHEAD, _ASIDE, _TURN, _TODAY = 0.010, 0.015, math.radians(2.0), 0.012
"""By so much two runs of one tug differ (standard deviations): along and across for a metre, in
heading for a quarter turn from place to place, and, as a share of any turn, from day to day:
`parts/day.py`, where it is said what they rest on."""
_AHEAD_READ = 0.007
"""Along, where the battery was read: then the cells are no part of it."""
_JOSTLED = math.radians(10.0)
"""So far from the others a turn is no turn of its own accord: five deviations."""
_RUN = re.compile(r"\brun ([-+.,0-9]+)$", re.MULTILINE)
_ROUNDS = 12
_TRIM = 0.2
"""Most by which an effort is trimmed to run straight."""
_WIDTH, _NEAR = 1e-3, 2e-4
"""Width over which a slope is taken, and the step that is none any more: a fiftieth of what can
be told."""


@dataclass(frozen=True)
class FloorRun:
    """One run on the floor, in slow decay at 1 kHz, and where it ended.

    Attributes:
        left, right: Efforts, -1 to 1; ahead is positive.
        seconds: How long.
        ahead, aside: Where it ended, seen from where it began, in m: along its first heading, and
            to port of it; None if it was not measured.
        turned: By how much its heading changed, in rad, to port positive; None likewise.
        times: Of so many runs, one after the other on one day, what was measured is the mean.
        volts: What the board read of its battery at rest, in V; None if it was not read.
    """

    left: float
    right: float
    seconds: float
    ahead: float | None = None
    aside: float | None = None
    turned: float | None = None
    times: int = 1
    volts: float | None = None

    @property
    def measured(self) -> list[tuple[int, float, float]]:
        """What was measured: which of (ahead, aside, turned), its value, its deviation."""
        span = max(math.hypot(self.ahead or 0.0, self.aside or 0.0), 0.25)
        quarters, often = abs(self.turned or 0.0) / (0.5 * math.pi), math.sqrt(self.times)
        place = math.radians(0.5) + _TURN * quarters + math.radians(2.0) * span
        turn = math.hypot(place / often, 0.5 * math.pi * _TODAY * quarters)
        ahead = _AHEAD if self.volts is None else _AHEAD_READ
        spreads = (ahead * span, _ASIDE * span, turn)
        values = (self.ahead, self.aside, self.turned)
        return [(k, v, spreads[k]) for k, v in enumerate(values) if v is not None]

    @property
    def legs(self) -> Leg:
        """What is driven: efforts of left and right, and s."""
        return self.left, self.right, self.seconds

    def __str__(self) -> str:
        """Say it as `read_run` reads it."""
        turned = None if self.turned is None else round(math.degrees(self.turned), 2)
        told = [self.left, self.right, self.seconds, self.ahead, self.aside, turned, self.times]
        told += [] if self.volts is None else [round(self.volts, 3)]
        return ",".join("-" if value is None else f"{value:g}" for value in told)


def drive(
    quirks: Quirks, run: FloorRun, charge: float | None = None
) -> tuple[float, float, float]:
    """Let a twin do a run on an open, even floor: ahead and aside in m, and the turn in rad.

    Args:
        quirks: The twin's.
        run: What is driven.
        charge: How full the battery is where the run does not say; None for as drawn.
    """
    charge = charge if run.volts is None else charge_at(run.volts)
    (end,) = drive_legs(TugWorld(OPEN, quirks, 0, None, charge, IDEAL), [run.legs])
    return end


def drive_legs(
    world: TugWorld, legs: Sequence[Leg]
) -> list[tuple[float, float, float]]:
    """Let a tug on the open floor drive some legs, each from rest to rest.

    Args:
        world: It has just been put there.
        legs: Of each the efforts of left and right and the time in s, in slow decay at 1 kHz.

    Returns:
        Where it stands after each: m ahead and m to port of where it began, and rad turned.
    """
    now, ends = MS, []
    x, y, _ = OPEN.start
    for left, right, seconds in legs:
        end = now + round(seconds * SECOND)
        for effort, (ahead, back) in zip((left, right), world.build.motors.values(), strict=True):
            full, part = (ahead, back) if effort >= 0 else (back, ahead)
            world.output(full, Signal(1.0, 0.0), now)
            world.output(part, Signal(1.0 - abs(effort), _HZ), now)
            world.output(ahead, FLOATING, end)
            world.output(back, FLOATING, end)
        now = end + round(_COAST_S * SECOND)
        world.advance_to(now)
        ends.append((world.x - x, world.y - y, world.heading))
    return ends


def straight(
    quirks: Quirks, charge: float | None = None, effort: float = 0.5
) -> tuple[float, float]:
    """Give the efforts of left and right with which a twin runs straight, about one, 0 to 1."""
    low, high = -_TRIM, _TRIM
    for _ in range(13):
        trim = 0.5 * (low + high)
        turned = drive(quirks, FloorRun(effort + trim, effort - trim, 3.0), charge)[2]
        low, high = (trim, high) if turned > 0 else (low, trim)
    return effort + trim, effort - trim


def fit(twin: Twin, runs: Sequence[FloorRun]) -> Twin:
    """Refine a twin by runs on the floor: least squares, by Gauss and Newton's method.

    Each residual is counted in the spread that two runs of one tug have anyway; what was known
    before counts likewise.  The uncertainties are those of the linear problem at the end: the
    roots of the diagonal of (J'J)^-1.

    Args:
        twin: What is known so far.
        runs: At least one run.

    Raises:
        KitError: There is no run, nothing was measured, or no tug does what was measured.
    """
    if not any(run.measured for run in runs):
        raise KitError("There is nothing to fit: no run has been measured.",
                       hint="give --run 0.5,0.5,5.0,0.98,0.03,- or --log day1.txt; `--survey` "
                       "prints the program for such runs.")  # fmt: skip
    before = np.array([STRENGTH[0], STRENGTH[0], twin.quirks.left_start, twin.quirks.right_start])
    trust = np.array([twin.spread[name] for name in FITTED])

    def off(figures: Any) -> Any:
        own = _with(twin.quirks, figures)
        done = {(run.legs, run.volts): drive(own, run, twin.charge) for run in runs}
        rows = [(done[run.legs, run.volts][k] - v) / sd
                for run in runs for k, v, sd in run.measured]  # fmt: skip
        return np.array([*rows, *((figures - before) / trust)])

    figures, slopes = _least_squares(off, before)
    shared = np.linalg.inv(slopes.T @ slopes)
    errors = np.abs(off(figures))
    k = int(np.argmax(errors))
    if errors[k] > 6.0:
        which = ([run for run in runs for _ in run.measured] + [None] * len(FITTED))[k]
        what = f"the run {which}" if which else "what the power-up has measured"
        raise KitError(
            f"No tug does what was measured: {what} is {errors[k]:.0f} times its usual spread off.",
            hint="ahead and aside in m, turned in degrees, both to port; were the efforts those of "
            "the run, and is the tug.json this tug's?",
        )  # fmt: skip
    count = sum(run.times for run in runs if run.measured)
    measured = sum(len(run.measured) * run.times for run in runs)
    metre = FloorRun(*straight(_with(twin.quirks, figures), twin.charge), _METRE_S)
    ends = _slopes(lambda own: np.array(drive(_with(twin.quirks, own), metre, twin.charge)),
                   figures)  # fmt: skip
    along, across = 1000.0 * np.sqrt(np.diag(ends @ shared @ ends.T))[:2]
    seen = [side for side in ("left", "right") if twin.spread[f"{side}_start"] < START[1]]
    starts = {2: "of the card", 0: "that such tugs have: no card tells them"}.get(
        len(seen), f"of the card for the {' '.join(seen)} wheel, for the other that of such tugs")
    rests = (
        f"They rest on {count} run{'s' * (count > 1)} with {measured} measurements, and on the "
        f"start duties {starts}.\n"
        f"Where a metre by time ends is known to {along:.0f} mm along and {across:.0f} mm across "
        f"(one standard deviation); each day adds {1000 * _AHEAD_READ:.0f} and "
        f"{1000 * _ASIDE:.0f} mm, and {1000 * _AHEAD:.0f} along where the battery is not read."
    )
    spreads = dict(zip(FITTED, map(float, np.sqrt(np.diag(shared))), strict=True))
    return replace(twin, quirks=_with(twin.quirks, figures), spread=spreads, rests=rests,
                   known=twin.known.with_strengths())  # fmt: skip


def _with(quirks: Quirks, figures: Any) -> Quirks:
    """Give quirks with the fitted figures put in, in the order of `FITTED`."""
    named: dict[str, Any] = dict(zip(FITTED, map(float, figures), strict=True))
    return replace(quirks, **named)


def _least_squares(off: Callable[[Any], Any], figures: Any) -> tuple[Any, Any]:
    """Give the figures at which the squares are least, and the slopes there."""
    here = off(figures)
    for _ in range(_ROUNDS):
        slopes = _slopes(off, figures)
        step = np.linalg.lstsq(slopes, -here, rcond=None)[0]
        there = off(figures + step)
        while np.sum(there**2) > np.sum(here**2) and np.max(np.abs(step)) > _NEAR:
            step = 0.5 * step
            there = off(figures + step)
        if np.max(np.abs(step)) <= _NEAR:
            break
        figures, here = figures + step, there
    return figures, slopes


def _slopes(values: Callable[[Any], Any], figures: Any) -> Any:
    """Give by how much each value grows with each figure."""
    here = values(figures)
    return np.array([
        (values(figures + width) - here) / _WIDTH for width in _WIDTH * np.eye(len(figures))
    ]).T  # fmt: skip


def read_run(text: str) -> FloorRun:
    """Read a run: left, right, seconds, ahead in m, aside in m, turned in degrees; - for unknown.

    A seventh number says of how many runs these are the mean, an eighth what the board read of
    its battery at rest, in V.

    Raises:
        KitError: It is none.
    """
    words = [word.strip() for word in text.split(",")]
    try:
        found = [None if word == "-" else float(word) for word in words]
        found += [1.0, None][len(found) - 6 :] if 6 <= len(found) < 8 else []
        left, right, seconds, ahead, aside, turned, times, volts = found
        if not all(value is None or math.isfinite(value) for value in found):
            raise ValueError
        if left is None or right is None or seconds is None or times is None:
            raise ValueError
        if not (max(abs(left), abs(right)) <= 1 and 0 < seconds <= 60 and 1 <= times <= 1000):
            raise ValueError
    except ValueError as fault:
        raise KitError(
            f"A run is left, right, seconds, ahead, aside, turned, not {text!r}.",
            hint="0.5,0.5,5.6,0.98,0.03,4.5: efforts -1 to 1, s, m, m to port, degrees to port; - "
            "for what was not measured; then, if you like, of how many runs, and the battery's V.",
        ) from fault
    return FloorRun(
        left, right, seconds, ahead, aside, None if turned is None else math.radians(turned),
        int(times), None if volts is None else at_rest(volts),
    )  # fmt: skip


def count_runs(printed: str) -> int:
    """Give how many runs a survey has printed."""
    return len(_RUN.findall(printed))


def read_runs(printed: str) -> list[FloorRun]:
    """Read the runs that a survey has printed on one day; of equal ones the mean is taken.

    One that is far from their median was jostled, and is left out.

    Raises:
        KitError: There is none, or one that cannot be read.
    """
    told = [read_run(text) for text in _RUN.findall(printed)]
    if not told:
        raise KitError("No run of a survey is printed there.",
                       hint="its lines read `run -0.5,0.5,0.42,-,-,91.3,1,4.812`.")  # fmt: skip
    turns: dict[tuple[Leg, float | None], list[float]] = {}
    for run in told:
        turns.setdefault((run.legs, run.volts), []).append(run.turned or 0.0)
    kept = {same: [turned for turned in every if abs(turned - median_low(every)) < _JOSTLED]
            for same, every in turns.items()}  # fmt: skip
    return [FloorRun(*legs, turned=mean(some), times=len(some), volts=volts)
            for (legs, volts), some in kept.items()]  # fmt: skip
