"""Twin: the simulated tug that is like one real one, by what was measured on it.

`tug.json` of the led power-up gives what can be measured on a block.  Runs on the floor, measured
with a ruler and by the tug's own gyro, refine it: `fit`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from ..errors import KitError
from ..parts import IDEAL, Quirks
from ..table import Table
from ..units import MS, SECOND
from ..wiring import FLOATING, PINS, Signal
from ..world import TugWorld
from .figures import load, mapping, number, numbers
from .wired import check_pins

__all__ = ["FloorRun", "Twin", "drive", "fit", "read_run", "read_tug", "refined"]

_OPEN = Table("open floor", 40.0, 40.0, (20.0, 20.0, 0.0), walls=False)
_HZ = 1000.0
_COAST_S = 0.6
_AHEAD, _ASIDE, _TURN = 0.012, 0.018, math.radians(2.5)
"""By so much two runs of one tug differ (standard deviations), along and across for a metre and in
heading for a quarter turn: `parts/day.py`, where it is said what they rest on."""
_STRENGTH, _START = (0.95, 0.06), 0.02
"""What is known of the motors before a run: mean and deviation of their strength; and how well
the start duty was measured (the gears rest otherwise each time)."""
_NAMES = ("left_strength", "right_strength", "left_start", "right_start")
_WORDS = {"left_strength": "the left motor's strength", "right_strength": "the right motor's",
          "left_start": "the left start duty", "right_start": "the right start duty"}  # fmt: skip
_ROUNDS = 12
_WIDTH, _NEAR = 1e-3, 2e-4
"""Width over which a slope is taken, and the step that is none any more: a fiftieth of what can
be told."""
_WHITE, _BLACK = 0.9, 0.05
_G = 9.80665


@dataclass(frozen=True)
class FloorRun:
    """One run on the floor, in slow decay at 1 kHz, and where it ended.

    Attributes:
        left, right: Efforts, -1 to 1; ahead is positive.
        seconds: How long.
        ahead, aside: Where it ended, seen from where it began, in m: along its first heading, and
            to port of it; None if it was not measured.
        turned: By how much its heading changed, in rad, to port positive; None likewise.
    """

    left: float
    right: float
    seconds: float
    ahead: float | None = None
    aside: float | None = None
    turned: float | None = None

    @property
    def measured(self) -> list[tuple[int, float, float]]:
        """What was measured: which of (ahead, aside, turned), its value, its deviation."""
        span = max(math.hypot(self.ahead or 0.0, self.aside or 0.0), 0.25)
        turn = math.radians(0.5) + _TURN * abs(self.turned or 0.0) / (0.5 * math.pi)
        spreads = (_AHEAD * span, _ASIDE * span, turn + math.radians(2.0) * span)
        values = (self.ahead, self.aside, self.turned)
        return [(k, v, spreads[k]) for k, v in enumerate(values) if v is not None]


@dataclass(frozen=True)
class Twin:
    """What a tug is like.

    Attributes:
        quirks: The figures.
        pins: Role to pin.
        spread: Name of a figure to its standard deviation.
        rests: What they rest on, in words.
    """

    quirks: Quirks
    pins: Mapping[str, int]
    spread: Mapping[str, float]
    rests: str

    def __str__(self) -> str:
        """Say the fitted figures, each with its uncertainty, and what they rest on."""
        rows = [f"{_WORDS[name]}: {getattr(self.quirks, name):.3f} +- {sd:.3f}"
                for name, sd in self.spread.items()]  # fmt: skip
        return "\n".join([*rows, self.rests])


def read_tug(tug: str | Path | Mapping[str, Any]) -> Twin:
    """Read `tug.json`.

    Args:
        tug: The file, or what it holds.

    Raises:
        KitError: It cannot be read, or something in it cannot be.
    """
    data = tug if isinstance(tug, Mapping) else load(Path(tug))
    pins = check_pins({**PINS, **mapping(data, "pins")})
    order = data.get("lamp_order", "GRB")
    if order not in ("GRB", "RGB"):
        raise KitError(f"The lamps' order is GRB or RGB, not {order!r}.", where="lamp_order")
    start, strength = mapping(data, "start"), mapping(data, "strength")
    gains, offsets = _eyes(numbers(data, "white_volts", 4), numbers(data, "black_volts", 4))
    accel = numbers(data, "accel_bias", 3) or (0.0, 0.0, 0.0)
    gyro = numbers(data, "gyro_bias", 3) or (0.0, 0.0, 0.0)
    quirks = Quirks(
        0, number(strength, "left", _STRENGTH[0]), number(strength, "right", _STRENGTH[0]),
        number(start, "left", 0.18), number(start, "right", 0.18),
        lamp_order=order, arm_trim_us=number(data, "arm_trim_us", 0.0),
        eye_gain=gains, eye_offset=offsets, gyro_bias=(gyro[0], gyro[1], gyro[2]),
        accel_bias=(_G * accel[0], _G * accel[1], _G * accel[2]),
    )  # fmt: skip
    spread = {name: _STRENGTH[1] if "strength" in name else _START for name in _NAMES}
    return Twin(quirks, pins, spread, "Nothing was measured on the floor yet: the motors' "
                "strengths are guesses.")  # fmt: skip


def refined(data: Mapping[str, Any], twin: Twin) -> dict[str, Any]:
    """Give what `tug.json` holds once a fit has refined it, with the uncertainties."""
    own = twin.quirks
    return {
        **data, "start": {"left": round(own.left_start, 4), "right": round(own.right_start, 4)},
        "strength": {"left": round(own.left_strength, 4), "right": round(own.right_strength, 4)},
        "spread": {name: round(sd, 4) for name, sd in twin.spread.items()}, "rests": twin.rests,
    }  # fmt: skip


def drive(quirks: Quirks, run: FloorRun) -> tuple[float, float, float]:
    """Let a twin do a run on an open, even floor: ahead and aside in m, and the turn in rad."""
    world = TugWorld(_OPEN, quirks, 0, None, None, IDEAL)
    for side, effort in (("left", run.left), ("right", run.right)):
        full, part = ("ahead", "back") if effort >= 0 else ("back", "ahead")
        world.output(PINS[f"{side}_{full}"], Signal(1.0, 0.0), MS)
        world.output(PINS[f"{side}_{part}"], Signal(1.0 - abs(effort), _HZ), MS)
    end = MS + round(run.seconds * SECOND)
    for role in ("left_ahead", "left_back", "right_ahead", "right_back"):
        world.output(PINS[role], FLOATING, end)
    world.advance_to(end + round(_COAST_S * SECOND))
    x, y, _ = _OPEN.start
    return world.x - x, world.y - y, world.heading


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
                       hint="FloorRun(0.5, 0.5, 5.0, ahead=0.98, aside=0.03).")  # fmt: skip
    before = np.array([_STRENGTH[0], _STRENGTH[0], twin.quirks.left_start, twin.quirks.right_start])
    trust = np.array([_STRENGTH[1], _STRENGTH[1], _START, _START])

    def off(figures: Any) -> Any:
        done = [drive(_with(twin.quirks, figures), run) for run in runs]
        rows = [(ends[k] - v) / sd for run, ends in zip(runs, done, strict=True)
                for k, v, sd in run.measured]  # fmt: skip
        return np.array([*rows, *((figures - before) / trust)])

    figures, slopes = _least_squares(off, before)
    spread = np.sqrt(np.diag(np.linalg.inv(slopes.T @ slopes)))
    worst = float(np.max(np.abs(off(figures))))
    if worst > 6.0:
        raise KitError(
            f"No tug does what was measured: something is {worst:.0f} times its usual spread off.",
            hint="ahead and aside in m, turned in rad and to port; were the efforts those of the "
            "run?",
        )  # fmt: skip
    count = sum(len(run.measured) for run in runs)
    rests = f"They rest on {len(runs)} runs with {count} measurements, and on the power-up's card."
    return Twin(_with(twin.quirks, figures), twin.pins,
                dict(zip(_NAMES, map(float, spread), strict=True)), rests)  # fmt: skip


def _with(quirks: Quirks, figures: Any) -> Quirks:
    """Give quirks with the fitted figures put in, in the order of `_NAMES`."""
    named: dict[str, Any] = dict(zip(_NAMES, map(float, figures), strict=True))
    return replace(quirks, **named)


def _least_squares(off: Callable[[Any], Any], figures: Any) -> tuple[Any, Any]:
    """Give the figures at which the squares are least, and the slopes there."""
    here = off(figures)
    for _ in range(_ROUNDS):
        slopes = np.array([
            (off(figures + width) - here) / _WIDTH for width in _WIDTH * np.eye(len(figures))
        ]).T  # fmt: skip
        step = np.linalg.lstsq(slopes, -here, rcond=None)[0]
        there = off(figures + step)
        while np.sum(there**2) > np.sum(here**2) and np.max(np.abs(step)) > _NEAR:
            step = 0.5 * step
            there = off(figures + step)
        if np.max(np.abs(step)) <= _NEAR:
            break
        figures, here = figures + step, there
    return figures, slopes


# -- reading -------------------------------------------------------------------


def read_run(text: str) -> FloorRun:
    """Read a run: left, right, seconds, ahead in m, aside in m, turned in degrees; - for unknown.

    Raises:
        KitError: It is none.
    """
    words = [word.strip() for word in text.split(",")]
    try:
        found = [None if word == "-" else float(word) for word in words]
        left, right, seconds, ahead, aside, turned = found
        if not all(value is None or math.isfinite(value) for value in found):
            raise ValueError
        if left is None or right is None or seconds is None:
            raise ValueError
        if not (max(abs(left), abs(right)) <= 1 and 0 < seconds <= 60):
            raise ValueError
    except ValueError as fault:
        raise KitError(
            f"A run is left, right, seconds, ahead, aside, turned, not {text!r}.",
            hint="0.5,0.5,5.6,0.98,0.03,4.5: efforts -1 to 1, s, m, m to port, degrees to port; - "
            "for what was not measured.",
        ) from fault
    return FloorRun(left, right, seconds, ahead, aside,
                    None if turned is None else math.radians(turned))  # fmt: skip


def _eyes(
    white: tuple[float, ...], black: tuple[float, ...]
) -> tuple[tuple[float, float, float, float], tuple[float, float, float, float]]:
    """Give each eye's gain and offset by its volts over white and black.

    *Model*: the two lines of `parts/reflectance.py`: their slope is the gain, and what is left is
    the offset; an eye that does not see is taken as drawn.
    """
    from ..parts.reflectance import HEIGHT_MM, relative_light, room_and_drop

    room, drop = room_and_drop()
    light = drop * relative_light(HEIGHT_MM)
    gains, offsets = [1.0] * 4, [0.0] * 4
    for k, (w, b) in enumerate(zip(white, black, strict=True) if white and black else ()):
        gain = (b - w) / (light * (_WHITE - _BLACK))
        if gain > 0.2:
            gains[k] = gain
            offsets[k] = 3.3 - b - gain * (light * _BLACK + room)
    return _four(gains), _four(offsets)


def _four(values: list[float]) -> tuple[float, float, float, float]:
    a, b, c, d = values
    return a, b, c, d
