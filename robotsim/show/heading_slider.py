"""Heading slider: the sum of a sensor's readings beside the tug's true heading.

The readings are real ones of our sensor: a program turns a tug to port and back and reads the
rate of turn a hundred times a second.  The sliders choose what is taken off each reading as the
bias, and how many readings are used.  Where no sliders can be shown, the picture for the first
settings stands alone.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from typing import NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..errors import KitError
from ..origin import Whose
from ..parts import IDEAL
from ..trial import run_trial
from ..wiring import PINS
from .colours import INK, OKABE_ITO, RULE, readable
from .compose import head
from .sliding import Choice, Span, slide
from .style import SIZE, SMALL, new_figure, styled

__all__ = ["INTERVALS", "Turn", "heading_figure", "measure", "slide_heading", "summed"]

INTERVALS = (10, 20, 50, 100, 200)
"""Times between two readings in ms that can be chosen."""
_TRUE, _SUM = OKABE_ITO["black"], OKABE_ITO["vermilion"]
_LSB = 131.0
_SECONDS = 6.0
_PROGRAM = """
from machine import Pin, PWM, I2C
import time
motors = la, lb, ra, rb = [PWM(Pin(n), freq=1000, duty_u16=0) for n in ({pins})]
for pwm in motors:
    pwm.duty_u16(65535)
bus = I2C(0, scl=Pin({scl}), sda=Pin({sda}), freq=400000)
bus.writeto_mem(0x68, 0x6B, bytes([0]))
time.sleep_ms(100)
start = time.ticks_us()
for k in range({count}):
    time.sleep_us(max(0, 10000 * k - time.ticks_diff(time.ticks_us(), start)))
    bus.readfrom_mem(0x68, 0x47, 2)
    if k == 150:
        la.duty_u16(43900)
        rb.duty_u16(43900)
    if k == 320:
        lb.duty_u16(43900)
        ra.duty_u16(43900)
    if k in (220, 390):
        for pwm in motors:
            pwm.duty_u16(65535)
"""
"""It stands, turns to port, stands, turns back and stands.  On tug 94, which the lesson takes, a
turn comes to about 90 degrees."""


class Turn(NamedTuple):
    """A tug's turn to port and back.

    Attributes:
        t: Times of the readings, in s.
        rate: What the sensor showed, in deg/s, bias and all.
        heading: The true heading at these times, in degrees, 0 at the first.
    """

    t: tuple[float, ...]
    rate: tuple[float, ...]
    heading: tuple[float, ...]


@functools.lru_cache(maxsize=16)
def measure(serial: int) -> Turn:
    """Let a tug turn to port and back, and take down the sensor's readings and the truth."""
    roles = ("left_ahead", "left_back", "right_ahead", "right_back")
    program = _PROGRAM.format(
        pins=", ".join(str(PINS[role]) for role in roles), scl=PINS["scl"], sda=PINS["sda"],
        count=round(100 * _SECONDS) - 20,
    )  # fmt: skip
    recording = run_trial(
        program, serial=serial, seconds=_SECONDS, start=(0.6, 0.4, 0.0), day=IDEAL.name,
        whose=Whose.KIT,
    )  # fmt: skip
    reads = [event for event in recording.of("i2c") if event.data[1] == "47"]
    t = tuple(event.seconds for event in reads)
    rate = tuple(
        int.from_bytes(bytes.fromhex(event.data[2]), "big", signed=True) / _LSB for event in reads
    )
    first = recording.at("heading", t[0])
    heading = tuple(math.degrees(recording.at("heading", when) - first) for when in t)
    return Turn(t, rate, heading)


def summed(turn: Turn, taken_off: float, every: int) -> tuple[list[float], list[float]]:
    """Add up rate x time, as a program does.

    Args:
        turn: The readings.
        taken_off: What is taken off each reading, in deg/s.
        every: Use each reading with a number that this divides.

    Returns:
        Times in s and the sum in degrees at each.
    """
    times, sums = [turn.t[0]], [0.0]
    for k in range(every, len(turn.t), every):
        step = turn.t[k] - times[-1]
        sums.append(sums[-1] + (turn.rate[k] - taken_off) * step)
        times.append(turn.t[k])
    return times, sums


def heading_figure(taken_off: float = 0.0, every_ms: int = 10, serial: int = 94) -> Figure:
    """Draw the sum of rate x time against the true heading, and what is summed.

    Args:
        taken_off: What is taken off each reading as the bias, in deg/s.
        every_ms: Time between two readings, one of `INTERVALS`.
        serial: The tug.

    Returns:
        The figure; its label tells it in words.

    Raises:
        KitError: There is no such interval, or the bias is no number.
    """
    if every_ms not in INTERVALS:
        raise KitError(
            f"Readings come every {', '.join(map(str, INTERVALS))} ms, not every {every_ms!r}.",
            hint="write every_ms=10, for example.",
        )
    if not math.isfinite(taken_off):
        raise KitError("What is taken off must be a number.", hint="write taken_off=0.5.")
    turn = measure(serial)
    times, sums = summed(turn, taken_off, every_ms // 10)
    off = sums[-1] - turn.heading[-1]
    with styled():
        drawn = new_figure(10.0, 4.2)
        title = f"At the end the sum is {_off(off)} the true heading"
        head(drawn, title, f"Tug {serial}: {taken_off:.1f} deg/s taken off each reading, "
             f"one reading every {every_ms} ms")  # fmt: skip
        drawn.set_label(_words(turn, times, sums, taken_off, every_ms, serial))
        upper = drawn.add_axes((0.075, 0.63, 0.80, 0.18), label="rate")
        _draw_rate(upper, turn, times, taken_off)
        lower = drawn.add_axes((0.075, 0.12, 0.80, 0.38), label="heading")
        _draw_headings(lower, turn, times, sums)
        return drawn


def _off(degrees: float) -> str:
    if abs(degrees) < 0.05:
        return "equal to"
    return f"{abs(degrees):.1f} degrees to {'port' if degrees > 0 else 'starboard'} of"


def _words(
    turn: Turn, times: Sequence[float], sums: Sequence[float], taken_off: float, every_ms: int,
    serial: int,
) -> str:  # fmt: skip
    """Tell the picture in words."""
    still = [s for t, s in zip(times, sums, strict=True) if t < 1.5]
    end = turn.heading[-1]
    return (
        f"Heading of tug {serial} while it turns to port by {max(turn.heading):.0f} degrees and "
        f"back, and the sum of rate times time with {taken_off:.1f} deg/s taken off each of the "
        f"readings, one every {every_ms} ms. In the first 1.4 s, while the tug stands still, the "
        f"sum runs to {still[-1]:.1f} degrees; at the end it is {_off(sums[-1] - end)} the true "
        f"heading of {end:.1f} degrees."
    )


def _draw_rate(axes: Axes, turn: Turn, times: Sequence[float], taken_off: float) -> None:
    """Draw the rate as it is summed: held from each reading back to the one before."""
    at = {t: rate for t, rate in zip(turn.t, turn.rate, strict=True)}
    axes.axhline(0.0, color=RULE, linewidth=0.8, zorder=0)
    axes.plot(turn.t, turn.rate, color=_TRUE, linewidth=0.8, linestyle=(0, (1, 1)), gid="read")
    axes.step(times, [at[t] - taken_off for t in times], color=_SUM, where="pre", linewidth=1.3,
              gid="used")  # fmt: skip
    axes.set_xlim(0, _SECONDS)
    axes.set_ylim(-220, 220)
    axes.set_yticks([-200, 0, 200])
    axes.set_xticklabels([])
    axes.set_title("rate of turn in deg/s: dotted as read, solid as it is added up",
                   fontsize=SIZE, color=INK, loc="left", fontweight="bold")  # fmt: skip


def _draw_headings(axes: Axes, turn: Turn, times: Sequence[float], sums: Sequence[float]) -> None:
    """Draw both headings, each with its name and value at its end."""
    axes.grid(True, color=RULE, linewidth=0.6)
    axes.plot(turn.t, turn.heading, color=_TRUE, linewidth=1.4, linestyle=(0, (5, 2)), gid="true")
    axes.step(times, sums, color=_SUM, where="post", linewidth=1.6, gid="sum")
    axes.set_xlim(0, _SECONDS)
    low, high = min(-20.0, *sums), max(100.0, *sums, *turn.heading)
    axes.set_ylim(low - 5, high + 5)
    axes.set_xlabel("time in s")
    axes.set_title("heading in degrees: dashed true, solid summed", fontsize=SIZE, color=INK,
                   loc="left", fontweight="bold")  # fmt: skip
    apart = (high - low + 10) * 0.13
    ends = [(sums[-1], "summed", _SUM), (turn.heading[-1], "true", _TRUE)]
    middle = sum(value for value, _, _ in ends) / 2
    gap = max(abs(ends[0][0] - ends[1][0]), apart) / 2
    up = ends[0][0] >= ends[1][0]
    for (value, name, colour), side in zip(ends, (1, -1) if up else (-1, 1), strict=True):
        axes.annotate(
            f"{name} {value:.1f}", (turn.t[-1], value),
            xytext=(_SECONDS + 0.06, middle + side * gap),
            fontsize=SMALL, fontweight="bold", color=readable(colour), va="center",
            annotation_clip=False,
        )  # fmt: skip


def slide_heading(taken_off: float = 0.0, every_ms: int = 10, *, serial: int | None = None) -> None:
    """Show sliders for what is taken off and for the time between readings, with the picture.

    Args:
        taken_off: Where the first slider stands at first, in deg/s.
        every_ms: Where the second one stands, in ms.
        serial: The tug; None for the learner's own.
    """
    from ..notebook import own_serial

    tug = own_serial() if serial is None else serial
    slide(
        lambda taken_off, every_ms: heading_figure(taken_off, every_ms, tug),
        Span("taken_off", "taken off in deg/s", taken_off, -5.0, 5.0, 0.1, 1),
        Choice("every_ms", "ms between two readings", every_ms, INTERVALS),
    )
