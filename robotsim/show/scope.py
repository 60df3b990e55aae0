"""Scope: any pin over any window of time, as the wire has it: edges, bytes, counts and volts.

The levels are worked out from the recording when the picture is drawn (waves.py, bus.py), and what
stands beside them as bytes is read back from these levels, as a listener on the wire would.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..recording import Recording
from ..units import MS, SECOND, US
from .bus import CLOCK_HZ, bus_waves, read_bus
from .colours import INK, OKABE_ITO, PAPER, QUIET, RULE, readable
from .compose import head
from .notice import adc_volts, in_hertz, in_time, notices
from .scope_window import Window, window_of
from .style import SIZE, SMALL, new_figure, styled, text_inches
from .waves import Wave, bytes_of_frame, frames, pin_wave, pulses

__all__ = ["scope_figure", "show_scope"]

_ANALOGUE = {"battery", "eye_0", "eye_1", "eye_2", "eye_3"}
_LEFT, _WIDE, _RIGHT = 1.35, 8.0, 0.65
_CURSORS = (("A", OKABE_ITO["blue"], "solid"), ("B", OKABE_ITO["vermilion"], (0, (5, 2))))
_MOST_DRAWN = 1500
"""Edges in a row beyond which they run into each other."""
_BOX = "#E4EDF4"
"""Behind a byte that was read from the levels."""


def scope_figure(
    recording: Recording, *pins: str | int, begin: float | None = None,
    seconds: float | None = None, cursors: Sequence[float] = (), clock_hz: int = CLOCK_HZ,
) -> Figure:  # fmt: skip
    """Draw pins over a window of time; their bytes, pulses and measures stand beside them.

    Args:
        recording: Where to look.
        pins: Roles as in `robotsim.PINS` ("lamps", "arm", "eye_0", "sda") or numbers.
        begin: From when, in s; without it from where these pins were first used.
        seconds: How long, in s; without it as long as fits them.
        cursors: Two times in s between which to measure.
        clock_hz: The I2C bus's clock, which a recording does not keep.

    Returns:
        The figure; its label tells it in words.

    Raises:
        UnknownNameError: There is no such pin.
        KitError: The window or the cursors make no sense.
    """
    window = window_of(recording, pins, begin, seconds, cursors)
    told = notices(recording, window.names, window.begin, window.end, clock_hz)
    highs = [_height(name) for name in window.names]
    measured = _measures(recording, window, clock_hz)
    lines = [row for text in (*told, *measured) for row in _wrapped(text)]
    with styled():
        high = 0.85 + sum(highs) + 0.35 + 0.19 * len(lines)
        drawn = new_figure(_LEFT + _WIDE + _RIGHT, high)
        span = f"{in_time(window.end - window.begin)} from {window.begin / SECOND:.6f} s on"
        head(drawn, told[0].partition(". ")[0].rstrip("."),
             f"{recording.program}, {recording.tug}: {span}")  # fmt: skip
        top = 0.8
        axes = None
        for name, tall in zip(window.names, highs, strict=True):
            box = (_LEFT / drawn.get_figwidth(), 1 - (top + tall - 0.12) / high,
                   _WIDE / drawn.get_figwidth(), (tall - 0.12) / high)  # fmt: skip
            axes = drawn.add_axes(box, label=name)
            _draw_row(axes, recording, name, window, clock_hz)
            top += tall
        assert axes is not None
        _draw_time(axes, window)
        for k, row in enumerate(lines):
            drawn.text(0.15 / drawn.get_figwidth(), 1 - (top + 0.4 + 0.19 * k) / high, row,
                       fontsize=SIZE, color=INK, va="baseline", gid="caption")  # fmt: skip
        drawn.set_label(" ".join((*told, *measured)))
        return drawn


def _label(name: str) -> str:
    return name.replace("_", " ")


def _height(name: str) -> float:
    if name in _ANALOGUE:
        return 1.1
    return 0.88 if name in ("lamps", "sda", "arm") else 0.6


def _wrapped(text: str) -> list[str]:
    rows, row = [], ""
    for word in text.split():
        longer = f"{row} {word}".strip()
        if text_inches(longer, SIZE) > _LEFT + _WIDE + _RIGHT - 0.3 and row:
            rows.append(row)
            longer = word
        row = longer
    return [*rows, row]


def _draw_row(axes: Axes, recording: Recording, name: str, window: Window, clock_hz: int) -> None:
    """Draw one pin's row: a wave with what can be read from it, or counts and volts."""
    axes.set_xlim(window.begin, window.end)
    axes.set_xticks([])
    pin = recording.build.number_of(name)
    label = _label(name)
    words = f"{label}\npin {pin}" if name in recording.build.pins else label
    axes.text(-0.45 / _WIDE, 0.4, words, ha="right", va="center", transform=axes.transAxes,
              fontsize=SMALL, color=INK, gid="pin")  # fmt: skip
    if name in _ANALOGUE:
        _draw_counts(axes, recording, pin, window)
    else:
        _draw_wave(axes, recording, name, window, clock_hz)
    for (letter, colour, dashes), at in zip(_CURSORS, window.cursors, strict=False):
        axes.axvline(at, color=colour, linestyle=dashes, linewidth=1.3, zorder=6, gid="cursor")
        if name == window.names[0] and window.begin <= at <= window.end:
            axes.text(at, 1.03, letter, ha="center", va="bottom", fontsize=SIZE, fontweight="bold",
                      color=readable(colour), transform=axes.get_xaxis_transform())  # fmt: skip


def _wave_of(recording: Recording, name: str, window: Window, clock_hz: int) -> Wave | None:
    """Give the levels on a pin named by its role."""
    if name in ("scl", "sda"):
        return bus_waves(recording, window.begin, window.end, clock_hz)[name == "sda"]
    return pin_wave(recording, recording.build.number_of(name), window.begin, window.end)


def _draw_wave(axes: Axes, recording: Recording, name: str, window: Window, clock_hz: int) -> None:
    axes.set_ylim(-0.25, 2.3 if _height(name) > 0.7 else 1.25)
    axes.set_yticks([0, 1], ["0", "1"])
    axes.spines["bottom"].set_visible(False)
    axes.spines["left"].set_visible(False)
    wave = _wave_of(recording, name, window, clock_hz)
    if wave is None or len(wave.edges) > _MOST_DRAWN:
        axes.axhspan(0, 1, color=RULE, hatch="||||", linewidth=0, gid="dense")
        axes.text(0.5, 0.5, "too many edges to draw: take a shorter window", ha="center",
                  va="center", transform=axes.transAxes, fontsize=SMALL, color=INK,
                  bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 2})  # fmt: skip
        return
    xs = [x for _, at, until in wave.stretches for x in (at, until)]
    ys = [level for level, _, _ in wave.stretches for _ in range(2)]
    axes.plot(xs, ys, color=INK, linewidth=1.1, solid_joinstyle="miter", gid="wave")
    for begin, end, text in _readings(recording, name, window, wave, clock_hz):
        _draw_reading(axes, window, begin, end, text)


def _readings(
    recording: Recording, name: str, window: Window, wave: Wave, clock_hz: int
) -> list[tuple[int, int, list[str]]]:
    """Give what can be read from a wave: from when to when, and as what, the fullest first."""
    if name == "lamps":
        pin = recording.build.number_of(name)
        return [
            (a, b, [f"{value:02X}"])
            for at, _, _ in frames(recording, pin, window.begin, window.end)
            for a, b, value in bytes_of_frame(wave, at)
        ]
    if name == "sda":
        clock, _ = bus_waves(recording, window.begin, window.end, clock_hz)
        return [
            (word.begin, word.end,
             [f"{word.value:02X}{'' if word.answered else ' no'}", f"{word.value:02X}"])
            for word in read_bus(clock, wave)
        ]  # fmt: skip
    if name == "arm":
        return [
            (at, at + length, [f"{length / 1000:.0f} µs", f"{length / 1e6:.1f} ms"])
            for at, length in pulses(wave)
        ]
    return []


def _draw_reading(axes: Axes, window: Window, begin: int, end: int, texts: list[str]) -> None:
    """Write what was read above its stretch of the wave, where there is room for it."""
    inches = _WIDE / (window.end - window.begin)
    wide = (end - begin) * inches
    axes.plot([begin, end], [1.42, 1.42], color=QUIET, linewidth=0.8, gid="reach")
    free = 0.9 if "µs" in texts[0] else wide  # a pulse stands alone, bytes side by side
    for text in texts:
        if text_inches(text, SMALL) <= max(free, wide) - 0.02:
            middle = (begin + end) / 2
            axes.text(middle, 1.85, text, ha="center", va="center", fontsize=SMALL, color=INK,
                      gid="reading", clip_on=True,
                      bbox={"facecolor": _BOX, "edgecolor": "none", "pad": 1.2})  # fmt: skip
            return


def _draw_counts(axes: Axes, recording: Recording, pin: int, window: Window) -> None:
    """Draw each sample as a point, with counts at the left and volts at the right."""
    events = [e for e in recording.of("adc", pin=pin) if window.begin <= e.time_ns <= window.end]
    times, raws = [e.time_ns for e in events], [int(e.data[1]) for e in events]
    axes.plot(times, raws, color=QUIET, linewidth=0.7, drawstyle="steps-post", gid="held")
    few = len(times) <= 150
    axes.plot(times, raws, "o" if few else ",", color=OKABE_ITO["blue"], markersize=3.5,
              gid="sample")  # fmt: skip
    axes.set_ylim(-120, 4215)
    axes.set_yticks([0, 2048, 4095])
    axes.grid(axis="y")
    volts = axes.secondary_yaxis("right", functions=(_volts, _counts))
    volts.set_yticks([1, 2, 3], ["1", "2", "3 V"])
    axes.spines["bottom"].set_visible(False)


_COUNTS = (-500.0, *range(0, 4096, 105))
_VOLTS = tuple(adc_volts(count) for count in _COUNTS)


def _volts(counts: Any) -> Any:
    return np.interp(counts, [*_COUNTS, 8190], [*_VOLTS, 2 * _VOLTS[-1]])


def _counts(volts: Any) -> Any:
    return np.interp(volts, [*_VOLTS, 2 * _VOLTS[-1]], [*_COUNTS, 8190])


def _draw_time(axes: Axes, window: Window) -> None:
    """Write round times below the last row, counted from the window's beginning."""
    length = window.end - window.begin
    units = ((SECOND, "s"), (MS, "ms"), (US, "µs"), (1, "ns"))
    unit, name = next(each for each in units if length >= each[0])
    step = 10.0 ** math.floor(math.log10(length / unit / 4))
    step = next(step * f for f in (1, 2, 2.5, 5, 10) if length / unit / (step * f) <= 8)
    ticks = [k * step for k in range(int(length / unit / step + 1e-9) + 1)]
    axes.set_xticks([window.begin + tick * unit for tick in ticks],
                    [*(f"{tick:g}" for tick in ticks[:-1]), f"{ticks[-1]:g} {name}"])  # fmt: skip
    axes.tick_params(axis="x", length=3)


def _measures(recording: Recording, window: Window, clock_hz: int) -> list[str]:
    """Give what lies between the cursors, in words."""
    if not window.cursors:
        return []
    a, b = sorted(window.cursors)
    apart = f", once in that time is {in_hertz(SECOND / (b - a))}" if b > a else ""
    told = [f"From A at {a / SECOND:.6f} s to B at {b / SECOND:.6f} s: {in_time(b - a)}{apart}."]
    for name in window.names:
        if name in _ANALOGUE:
            seen = [int(e.data[1]) for e in recording.of("adc", pin=recording.build.number_of(name))
                    if a <= e.time_ns <= b]  # fmt: skip
            if seen:
                mean = sum(seen) / len(seen)
                span = f"{len(seen)} samples, {min(seen)} to {max(seen)} counts"
                told.append(f"{_label(name)}: {span}, mean {mean:.0f}, {_volts(mean):.3f} V.")
            continue
        wave = _wave_of(recording, name, Window((name,), max(a - 1, 0), max(b, a + 1)), clock_hz)
        if wave is not None:
            rises, high = wave.between(a, b)
            told.append(f"{_label(name)}: rises {rises} times, high {100 * high:.2f} % of it.")
    return told


def show_scope(
    recording: Recording, *pins: str | int, begin: float | None = None,
    seconds: float | None = None, cursors: Sequence[float] = (),
) -> None:  # fmt: skip
    """Show `scope_figure` in the notebook.

    Args and raises: as `scope_figure`.
    """
    from .display import show_figure

    show_figure(scope_figure(recording, *pins, begin=begin, seconds=seconds, cursors=cursors))
