"""Duty slider: how fast the wheels turn at a duty, in fast and in slow decay.

The curves are measured, not drawn: a program raises the duty step by step while the tug turns on
the spot, and the recordings tell what the wheels did.  Where no sliders can be shown, the picture
for the first settings stands alone.
"""

from __future__ import annotations

import functools
from typing import NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..errors import KitError
from ..origin import Whose
from ..parts import IDEAL
from ..trial import run_trial
from ..wiring import PINS
from .colours import INK, OKABE_ITO, PAPER, QUIET, RULE, readable
from .compose import head
from .sliding import Choice, Span, slide
from .style import SIZE, SMALL, new_figure, styled

__all__ = ["DECAYS", "Curve", "duty_figure", "measure", "slide_duty"]

DECAYS = ("slow", "fast")
_COLOURS = {"slow": OKABE_ITO["blue"], "fast": OKABE_ITO["vermilion"]}
_FREQUENCIES = (200, 1000, 5000, 20000)
_STEP_S, _STEPS = 0.25, 50
_TURNS = 0.002
"""Rim speed in m/s above which a wheel counts as turning."""
_BENCH = """
from machine import Pin, PWM
import time
motors = la, lb, ra, rb = [PWM(Pin(n), freq={freq}, duty_u16=0) for n in ({pins})]
for pwm in motors:
    pwm.duty_u16({rest})
time.sleep_ms(250)
for step in range(1, {steps} + 1):
    duty = 65535 * step // {steps}
    for pwm in {pulsed}:
        pwm.duty_u16({put})
    time.sleep_ms(250)
"""
"""The left wheel is driven ahead and the right one back, so that the tug stays on its spot."""


class Curve(NamedTuple):
    """Measured speeds of both wheels (m/s, not signed) at rising duties (0 to 1)."""

    duty: tuple[float, ...]
    left: tuple[float, ...]
    right: tuple[float, ...]

    def at(self, duty: float) -> tuple[float, float]:
        """Give the speeds (left, right) at the measured duty that is nearest."""
        k = min(range(len(self.duty)), key=lambda i: abs(self.duty[i] - duty))
        return self.left[k], self.right[k]

    def starts(self) -> tuple[float | None, float | None]:
        """Give the lowest duty at which each wheel turned, None if it never did."""
        left, right = (
            next((d for d, v in zip(self.duty, speeds, strict=True) if v > _TURNS), None)
            for speeds in (self.left, self.right)
        )
        return left, right


@functools.lru_cache(maxsize=64)
def measure(serial: int, decay: str, freq_hz: int = 1000) -> Curve:
    """Measure the speeds of a tug's wheels while the duty rises from 0 to all.

    Args:
        serial: The tug.
        decay: "slow" (braked between the pulses) or "fast" (coasting between them).
        freq_hz: Pulses a second.

    Raises:
        KitError: There is no such decay.
    """
    if decay not in DECAYS:
        raise KitError(
            f"A decay is slow or fast, not {decay!r}.", hint='write decay="slow", for example.'
        )
    slow = decay == "slow"
    pins = ("left_ahead", "left_back", "right_ahead", "right_back")
    program = _BENCH.format(
        freq=freq_hz, rest=65535 if slow else 0, pins=", ".join(str(PINS[p]) for p in pins),
        steps=_STEPS, pulsed="(lb, ra)" if slow else "(la, rb)",
        put="65535 - duty" if slow else "duty",
    )  # fmt: skip
    recording = run_trial(
        program, serial=serial, seconds=_STEP_S * (_STEPS + 1.5), start=(0.6, 0.4, 0.0),
        day=IDEAL.name, whose=Whose.KIT,
    )  # fmt: skip
    ends = [_STEP_S * (k + 1) - 0.02 for k in range(_STEPS + 1)]
    left, right = (
        tuple(max(0.0, sign * recording.at(side, t)) for t in ends)
        for side, sign in (("left", 1), ("right", -1))
    )
    return Curve(tuple(k / _STEPS for k in range(_STEPS + 1)), left, right)


def duty_figure(duty: float, serial: int, freq_hz: int = 1000) -> Figure:
    """Draw the pulses for a duty, and the measured speeds at all duties with this one marked.

    Args:
        duty: Share of the time that the motor is driven, 0 to 1.
        serial: The tug.
        freq_hz: Pulses a second.

    Returns:
        The figure; its label tells it in words.

    Raises:
        KitError: The duty is not from 0 to 1.
    """
    if not 0.0 <= duty <= 1.0:
        raise KitError(f"A duty is a share from 0 to 1, not {duty!r}.", hint="write 0.3 for 30 %.")
    curves = {decay: measure(serial, decay, freq_hz) for decay in DECAYS}
    with styled():
        drawn = new_figure(10.0, 4.1)
        drawn.set_label(_words(duty, serial, freq_hz, curves))
        speeds = {decay: sum(curves[decay].at(duty)) / 2 for decay in DECAYS}
        title = (
            f"At {100 * duty:.0f} % the wheels run at {speeds['slow']:.2f} m/s in slow decay, "
            f"at {speeds['fast']:.2f} m/s in fast decay"
        )
        head(drawn, title, f"Tug {serial}, {freq_hz} pulses a second, turning on the spot")
        for k, decay in enumerate(DECAYS):
            axes = drawn.add_axes((0.145, 0.55 - 0.42 * k, 0.27, 0.24), label=f"{decay} pulses")
            _draw_pulses(axes, decay, duty, freq_hz)
        axes = drawn.add_axes((0.53, 0.13, 0.36, 0.68), label="speeds")
        _draw_curves(axes, curves, duty)
        return drawn


def _words(duty: float, serial: int, freq_hz: int, curves: dict[str, Curve]) -> str:
    """Tell the picture in words."""
    told = [f"Speeds of the wheels of tug {serial} against duty at {freq_hz} pulses a second."]
    for decay, curve in curves.items():
        left, right = curve.at(duty)
        begins = ["never" if s is None else f"from {100 * s:.0f} %" for s in curve.starts()]
        told.append(
            f"In {decay} decay at {100 * duty:.0f} %: left {left:.2f}, right {right:.2f} m/s; "
            f"the left wheel turns {begins[0]}, the right one {begins[1]}."
        )
    return " ".join(told)


def _draw_pulses(axes: Axes, decay: str, duty: float, freq_hz: int) -> None:
    """Draw two pulses on both inputs, and what the motor does in each part of the time."""
    slow = decay == "slow"
    colour = _COLOURS[decay]
    steady = ((0.0, 2.0, int(slow)),)
    levels = (steady, _train(1 - duty)) if slow else (_train(duty), steady)
    for y, name, parts in ((2.2, "ahead input", levels[0]), (0.8, "back input", levels[1])):
        xs = [x for begin, end, _ in parts for x in (begin, end)]
        ys = [y + 0.9 * level for _, _, level in parts for _ in range(2)]
        axes.plot(xs, ys, color=colour, linewidth=1.6, gid=name)
        axes.text(-0.06, y + 0.3, name, ha="right", va="center", fontsize=SMALL, color=INK)
    for k in range(2):
        begin = k + 1 - duty if slow else k
        axes.axvspan(begin, begin + duty, color=colour, alpha=0.13, linewidth=0, gid="driven")
    axes.set_xlim(0, 2)
    axes.set_ylim(0.5, 3.4)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.set_xticks([0, 1, 2], ["0", f"{1000 / freq_hz:g}", f"{2000 / freq_hz:g} ms"])
    rest = "braked" if slow else "coasting"
    axes.set_title(
        f"{decay} decay: shaded driven, else {rest}", fontsize=SIZE, color=readable(colour),
        fontweight="bold", loc="left",
    )  # fmt: skip


def _train(high: float) -> tuple[tuple[float, float, int], ...]:
    """Give two pulses that are high from the start of each period."""
    return tuple(
        (k + begin, k + end, level)
        for k in range(2)
        for begin, end, level in ((0.0, high, 1), (high, 1.0, 0))
        if end > begin
    )


def _draw_curves(axes: Axes, curves: dict[str, Curve], duty: float) -> None:
    """Draw speed against duty, the left wheel solid and the right one dashed."""
    axes.grid(True, color=RULE, linewidth=0.6)
    for decay, curve in curves.items():
        colour, percent = _COLOURS[decay], [100 * d for d in curve.duty]
        axes.plot(*_stepped(percent, curve.left), color=colour, gid=f"{decay} left")
        axes.plot(*_stepped(percent, curve.right), color=colour, linestyle=(0, (4, 2)),
                  gid=f"{decay} right")  # fmt: skip
        marker = {"slow": "o", "fast": "s"}[decay]
        for value, inside in zip(curve.at(duty), (colour, PAPER), strict=True):
            axes.plot([100 * duty], [value], marker, color=colour, markersize=6, zorder=4,
                      markerfacecolor=inside, gid="marked")  # fmt: skip
    top = max(max(c.left + c.right) for c in curves.values())
    axes.axvline(100 * duty, color=QUIET, linewidth=0.8, linestyle=(0, (1, 2)), zorder=1)
    axes.set_xlim(0, 100)
    axes.set_ylim(0, 1.08 * top)
    axes.set_xlabel("duty in %: share of the time in which the motor is driven")
    axes.set_title("speed of the wheel in m/s: solid left, dashed right", fontsize=SIZE,
                   color=INK, loc="left", fontweight="bold")  # fmt: skip
    _name(axes, curves, top)


def _stepped(percent: list[float], speeds: tuple[float, ...]) -> tuple[list[float], list[float]]:
    """Keep a wheel that stands on the ground line until the duty at which it was seen to turn."""
    turns = next((k for k, speed in enumerate(speeds) if speed > _TURNS), 0)
    return [*percent[:turns], *percent[turns : turns + 1], *percent[turns:]], [
        *speeds[:turns], 0.0 if turns else speeds[0], *speeds[turns:],
    ]  # fmt: skip


def _name(axes: Axes, curves: dict[str, Curve], top: float) -> None:
    """Write each pair's name where the two pairs are farthest apart: above one, below the other."""
    slow, fast = ([sum(p) / 2 for p in zip(c.left, c.right, strict=True)] for c in curves.values())
    gaps = [abs(a - b) for a, b in zip(slow, fast, strict=True)]
    roomy = [k for k in range(len(gaps)) if min(slow[k], fast[k]) > 0.15 * top]
    k = max(roomy or [len(gaps) // 2], key=gaps.__getitem__)
    if gaps[k] < 0.05 * top:  # nearly one line: past its middle there is room on either side
        k = 3 * len(gaps) // 5
    upper = "fast" if fast[k] >= slow[k] else "slow"
    for decay, curve in curves.items():
        high = decay == upper
        y = max(curve.left[k], curve.right[k]) if high else min(curve.left[k], curve.right[k])
        axes.annotate(
            f"{decay} decay", (100 * curve.duty[k], y),
            xytext=(-8, 6) if high else (8, -6),
            textcoords="offset points", ha="right" if high else "left",
            va="bottom" if high else "top", fontsize=SIZE, fontweight="bold",
            color=readable(_COLOURS[decay]),
        )  # fmt: skip


def slide_duty(duty: float = 0.3, *, serial: int | None = None) -> None:
    """Show a slider for the duty and a choice of frequencies, with the picture that follows them.

    Args:
        duty: Where the slider stands at first, 0 to 1.
        serial: The tug; None for the learner's own.
    """
    from ..notebook import own_serial

    tug = own_serial() if serial is None else serial
    slide(
        lambda percent, freq: duty_figure(percent / 100, tug, freq),
        Span("percent", "duty in %", round(100 * duty), 0, 100, 2),
        Choice("freq", "pulses a second", 1000, _FREQUENCIES),
    )
