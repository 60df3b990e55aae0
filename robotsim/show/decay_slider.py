"""Decay slider: the current in a motor at rest over a few pulses, in slow and in fast decay.

*Model*: within each phase the current is an exponential with the time constant L/R.  Driven it runs
towards V/R; braked (slow decay) towards 0; coasting (fast decay) the supply stands against it
through the diodes until it dies.
*Source*: DRV8835 data sheet SLVSB18, table 2 (read); the circuit's equations, any text on circuits.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..errors import KitError
from ..parts.bridge import ON_RESISTANCE
from ..parts.motor import TUG_MOTOR
from .colours import INK, OKABE_ITO, RULE, readable
from .compose import head
from .sliding import Choice, Span, slide
from .style import SIZE, SMALL, new_figure, styled

__all__ = ["VOLTS", "average", "currents", "decay_figure", "slide_decay"]

VOLTS = 4.8
"""Supply in V: four NiMH cells, nominal."""
_OHM = TUG_MOTOR.resistance + ON_RESISTANCE
_TAU = TUG_MOTOR.inductance / _OHM
_FREQUENCIES = (200, 1000, 5000, 20000)
_COLOURS = {"slow": OKABE_ITO["blue"], "fast": OKABE_ITO["vermilion"]}
_POINTS = 120
"""Points in a cycle, and cycles until they are all alike."""
_SETTLED = 60


def currents(duty: float, decay: str, freq_hz: float, cycles: int = 3) -> list[tuple[float, float]]:
    """Give (time in s, current in A) over a few cycles, once all cycles are alike.

    Args:
        duty: Share of the time in which the motor is driven, 0 to 1.
        decay: "slow" or "fast".
        freq_hz: Pulses a second.
        cycles: How many.

    Raises:
        KitError: The duty or the decay is none.
    """
    if not 0.0 <= duty <= 1.0:
        raise KitError(f"A duty is a share from 0 to 1, not {duty!r}.", hint="write 0.3 for 30 %.")
    if decay not in _COLOURS:
        raise KitError(
            f"A decay is slow or fast, not {decay!r}.", hint='write "slow", for example.'
        )
    period = 1.0 / freq_hz
    amps = 0.0
    for _ in range(_SETTLED):
        amps = _after(amps, period, duty, decay, period)
    told = []
    for k in range(cycles * _POINTS + 1):
        cycle, point = divmod(k, _POINTS)
        told.append(((cycle + point / _POINTS) * period,
                     _after(amps, point / _POINTS * period, duty, decay, period)))  # fmt: skip
    return told


def _after(amps: float, time: float, duty: float, decay: str, period: float) -> float:
    """Give the current some time after a cycle began with `amps`."""
    driven = duty * period
    full = VOLTS / _OHM
    if time <= driven:
        return full + (amps - full) * math.exp(-time / _TAU)
    peak = full + (amps - full) * math.exp(-driven / _TAU)
    gone = math.exp(-(time - driven) / _TAU)
    return peak * gone if decay == "slow" else max(0.0, -full + (peak + full) * gone)


def average(told: Sequence[tuple[float, float]]) -> float:
    """Give the average of a current over its time, in A."""
    pairs = zip(told, told[1:], strict=False)
    area = math.fsum((b[0] - a[0]) * (a[1] + b[1]) / 2 for a, b in pairs)
    return area / (told[-1][0] - told[0][0])


def decay_figure(duty: float, freq_hz: int = 1000) -> Figure:
    """Draw the current in a motor at rest for both ways in which it may decay.

    Args:
        duty: Share of the time in which the motor is driven, 0 to 1.
        freq_hz: Pulses a second.

    Returns:
        The figure; its label tells it in words.

    Raises:
        KitError: The duty is not from 0 to 1.
    """
    told = {decay: currents(duty, decay, freq_hz) for decay in _COLOURS}
    means = {decay: average(curve) for decay, curve in told.items()}
    with styled():
        drawn = new_figure(10.0, 3.6)
        title = (
            f"At {100 * duty:.0f} % the motor gets {means['slow']:.2f} A in slow decay, "
            f"{means['fast']:.2f} A in fast decay, on average"
        )
        head(drawn, title, f"Current in a motor at rest, {freq_hz} pulses a second, {VOLTS} V")
        drawn.set_label(
            f"{title}. {freq_hz} pulses a second; the current's time constant is "
            f"{1000 * _TAU:.2f} ms, a pulse lasts {1000 * duty / freq_hz:.3g} ms."
        )
        for k, decay in enumerate(_COLOURS):
            axes = drawn.add_axes((0.06 + 0.48 * k, 0.14, 0.43, 0.58), label=decay)
            _draw(axes, decay, told[decay], means[decay], duty, freq_hz)
        return drawn


def _draw(
    axes: Axes, decay: str, told: Sequence[tuple[float, float]], mean: float, duty: float,
    freq_hz: int,
) -> None:  # fmt: skip
    colour, period = _COLOURS[decay], 1000 / freq_hz
    axes.grid(True, axis="y", color=RULE, linewidth=0.6)
    for k in range(3):
        axes.axvspan(k * period, (k + duty) * period, color=colour, alpha=0.13, linewidth=0,
                     gid="driven")  # fmt: skip
    axes.plot([1000 * t for t, _ in told], [amps for _, amps in told], color=colour,
              linestyle="solid" if decay == "slow" else (0, (5, 2)), gid="current")  # fmt: skip
    axes.axhline(mean, color=INK, linewidth=1.0, linestyle=(0, (2, 2)), gid="average")
    high = mean < 0.5 * VOLTS / _OHM
    axes.text(3 * period, mean + (0.02 if high else -0.02), f"average {mean:.2f} A ", ha="right",
              va="bottom" if high else "top", fontsize=SMALL, color=INK, fontweight="bold",
              bbox={"facecolor": "#FFFFFFCC", "edgecolor": "none", "pad": 0.6})  # fmt: skip
    axes.set_xlim(0, 3 * period)
    axes.set_ylim(0, 1.05 * VOLTS / _OHM)
    ticks = [k * period for k in range(4)]
    axes.set_xticks(ticks, [*(f"{tick:g}" for tick in ticks[:-1]), f"{ticks[-1]:g} ms"])
    rest = "braked: it dies slowly" if decay == "slow" else "coasting: it dies fast"
    axes.set_title(f"{decay} decay, A: shaded driven, then {rest}", fontsize=SIZE, loc="left",
                   fontweight="bold", color=readable(colour))  # fmt: skip


def slide_decay(duty: float = 0.3, freq_hz: int = 1000) -> None:
    """Show a slider for the duty and a choice of frequencies, with both currents.

    Args:
        duty: Where the slider stands at first, 0 to 1.
        freq_hz: What is chosen at first.
    """
    slide(
        lambda percent, freq: decay_figure(percent / 100, freq),
        Span("percent", "duty in %", round(100 * duty), 0, 100, 2),
        Choice("freq", "pulses a second", freq_hz, _FREQUENCIES),
    )
