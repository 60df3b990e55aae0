"""Lanes: the strips that show states instead of curves: printed lines, lamps, motor duties."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PathCollection
from matplotlib.patches import Rectangle
from matplotlib.path import Path

from ..colour_names import colour_name
from ..recording import Recording
from ..units import seconds
from .colours import (
    INK,
    NIGHT,
    OKABE_ITO,
    PAPER,
    QUIET,
    RGB,
    RULE,
    contrast,
    lamp_hex,
    lamp_words,
)
from .facts import Drive, drives, glows, share_words
from .lines import Line
from .style import SMALL, clean, fitted, text_inches

__all__ = ["draw_duty", "draw_lamps", "draw_printed"]

_MOST_TEXTS = 40
_NEAR = 0.32
"""So many inches from one printed line to the next leave no room for a text between them."""
BRAKE = 0.05
"""Height in inches of the bar that stands for braking."""
HATCHES = {"slow decay": "/////", "mixed": "xxxxx", "fast decay": "", "full": ""}
"""What fills the rest of the time between the pulses, told by the hatching."""
GLITCH_S = 0.002
"""A state of the inputs that lasts less, while one is set after the other, moves nothing."""


def _inches(axes: Axes) -> float:
    """Give the width of an axes in inches."""
    figure = axes.get_figure(root=True)
    return axes.get_position().width * (figure.get_figwidth() if figure else 1.0)


def draw_printed(axes: Axes, recording: Recording) -> list[Any]:
    """Mark each printed line at its time, with its text as far as there is room."""
    clean(axes)
    lines = recording.printed
    axes.set_ylim(0, 1)
    times = [time for time, _ in lines]
    axes.plot(times, [0.5] * len(times), "|", color=OKABE_ITO["blue"], markersize=9,
              markeredgewidth=1.3, clip_on=False, gid="printed")  # fmt: skip
    scale = _inches(axes) / recording.seconds
    over = seconds(recording.ended_ns)
    written = 0
    free_from = -1.0
    bursts = _bursts(lines, _NEAR / scale)
    for number, (time, text) in enumerate(bursts):
        later = bursts[number + 1][0] if number + 1 < len(bursts) else None
        room = (later - time) * scale - 0.12 if later is not None else 99.0
        room = min(room, (recording.seconds - time) * scale + 0.7)
        if room < 0.2 or time * scale < free_from or written >= _MOST_TEXTS:
            continue
        shown = fitted(text, room, SMALL)
        if shown and shown != "…":
            near = time < over and (over - time) * scale < 0.25  # step over the line of the end
            begin = (over if near else time) + 0.045 / scale
            axes.text(begin, 0.5, shown, fontsize=SMALL, va="center_baseline",
                      color=INK, clip_on=False, zorder=5, gid="printed text",
                      bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.5})  # fmt: skip
            free_from = begin * scale + text_inches(shown, SMALL)
            written += 1
    return []


def _bursts(lines: Sequence[tuple[float, str]], near: float) -> list[tuple[float, str]]:
    """Join lines between which no text has room; of those that go on for longer stay the single.

    Args:
        lines: Times in s and texts.
        near: What lies nearer than this, in s, has no room.
    """
    groups: list[list[tuple[float, str]]] = []
    for line in lines:
        if groups and line[0] - groups[-1][-1][0] < near:
            groups[-1].append(line)
        else:
            groups.append([line])
    found: list[tuple[float, str]] = []
    for group in groups:
        short = group[-1][0] - group[0][0] < near
        found += [(group[-1][0], " · ".join(text for _, text in group))] if short else group
    return found


def draw_lamps(axes: Axes, recording: Recording) -> list[Any]:
    """Draw a row for each lamp: its colour over time on a night-dark ground, named in words."""
    phases = glows(recording)
    rows = recording.build.lamps
    edges = [phases[0].begin, *(p.end for p in phases)]
    grid = np.zeros((rows, len(phases), 3))
    for column, phase in enumerate(phases):
        for row in range(rows):
            shade = lamp_hex(phase.colours[row]) if row < len(phase.colours) else NIGHT
            grid[row, column] = [int(shade[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    axes.set_ylim(rows, 0)
    # thin paper-coloured gaps between the rows
    for row in range(rows):
        axes.pcolormesh(edges, [row + 0.04, row + 0.96], grid[row : row + 1], shading="flat",
                        zorder=1, gid=f"lamp {row}", rasterized=True)  # fmt: skip
        axes.add_artist(
            Rectangle((edges[0], row + 0.04), edges[-1] - edges[0], 0.92, fill=False,
                      edgecolor=QUIET, linewidth=0.6, zorder=2, gid="lamp row")
        )  # fmt: skip
    axes.set_xticks([])
    axes.set_yticks([])
    for spine in axes.spines.values():
        spine.set_visible(False)
    scale = _inches(axes) / recording.seconds
    for row in range(rows):
        _name_glows(axes, row, _merged(phases, row), scale)
    return [(row + 0.5, name, None) for row, name in enumerate(recording.build.lamp_names)]


def _merged(phases: list[Any], row: int) -> list[tuple[float, float, RGB]]:
    """Join the phases in which one lamp did not change."""
    runs: list[tuple[float, float, RGB]] = []
    for phase in phases:
        colour = phase.colours[row] if row < len(phase.colours) else (0, 0, 0)
        if runs and runs[-1][2] == colour:
            runs[-1] = (runs[-1][0], phase.end, colour)
        else:
            runs.append((phase.begin, phase.end, colour))
    return runs


def _name_glows(axes: Axes, row: int, runs: list[tuple[float, float, RGB]], scale: float) -> None:
    """Write each run's colour into it: words, or a letter, or nothing, as there is room."""
    longest = sorted(runs, key=lambda r: r[0] - r[1])[:_MOST_TEXTS]
    for begin, end, colour in longest:
        if colour == (0, 0, 0):
            continue
        name = colour_name(colour)
        for text in (lamp_words(colour), name, name[0].upper()):
            if text_inches(text, SMALL) + 0.05 < (end - begin) * scale:
                ground = lamp_hex(colour)
                ink = max(("#000000", PAPER), key=lambda shade: contrast(shade, ground))
                axes.text((begin + end) / 2, row + 0.5, text, fontsize=SMALL, ha="center",
                          va="center_baseline", color=ink, zorder=5, gid="lamp text")  # fmt: skip
                break


def draw_duty(axes: Axes, recording: Recording, side: str, line: Line) -> None:
    """Draw one motor's signed effective duty in percent and what fills the rest of the time."""
    phases = _lasting(drives(recording, side))
    back = any(p.duty < 0 for p in phases)
    ahead = any(p.duty > 0 for p in phases) or not back
    axes.set_ylim(-108 if back else 0, 108 if ahead else 0)
    ticks = [v for v, there in ((-100, back), (0, True), (100, ahead)) if there]
    axes.set_yticks(ticks, [f"{v}".replace("-", "\u2212") for v in ticks])
    for mode, hatch in HATCHES.items():
        if boxes := [(p.begin, p.end, 100 * p.duty) for p in phases if p.mode == mode and p.duty]:
            _fill(axes, boxes, facecolors=line.colour + "33", edgecolors=line.colour + "88",
                  hatch=hatch, gid=mode)  # fmt: skip
    low, high = axes.get_ylim()
    stop = BRAKE * (high - low) / _inches_high(axes) * (1 if ahead else -1)
    if stops := [(p.begin, p.end, stop) for p in phases if not p.duty and p.mode != "coast"]:
        _fill(axes, stops, facecolors="#5B626C", edgecolors="none", gid="brake")
    axes.axhline(0.0, color=RULE, linewidth=0.8, zorder=0.8)
    times = [p.begin for p in phases] + [phases[-1].end]
    duties = [100 * p.duty for p in phases]
    axes.plot(times, [*duties, duties[-1]], drawstyle="steps-post", color=line.colour,
              linewidth=1.6, zorder=2, gid="duty")  # fmt: skip
    _name_phases(axes, phases, _inches(axes) / recording.seconds)


def _lasting(phases: list[Drive]) -> list[Drive]:
    """Leave out what was over at once, for it looks like a burst; but keep it where all is so."""
    kept = [phase for phase in phases if phase.end - phase.begin >= GLITCH_S]
    if not any(phase.duty for phase in kept):
        return phases
    begins = [phases[0].begin, *(phase.begin for phase in kept[1:])]
    ends = [*begins[1:], phases[-1].end]
    return [p._replace(begin=b, end=e) for p, b, e in zip(kept, begins, ends, strict=True)]


def _fill(axes: Axes, boxes: Iterable[tuple[float, float, float]], **look: Any) -> None:
    """Fill boxes (begin, end, height) as one shape: each shape is hatched by itself, at a price."""
    shapes: list[list[tuple[float, float]]] = []
    for begin, end, height in boxes:
        if not shapes or shapes[-1][-1][0] != begin:
            shapes.append([(begin, 0.0)])
        shapes[-1] += [(begin, height), (end, height)]
    paths = [Path([*corners, (corners[-1][0], 0.0), corners[0]], closed=True) for corners in shapes]
    axes.add_collection(
        PathCollection([Path.make_compound_path(*paths)], linewidths=0.0, snap=True, zorder=1.5,
                       **look)
    )  # fmt: skip


def _name_phases(axes: Axes, phases: list[Drive], scale: float) -> None:
    """Write into or beside each phase's bar what it is, as far as there is room."""
    shown = set(sorted(phases, key=lambda p: p.begin - p.end)[:_MOST_TEXTS])
    low, high = axes.get_ylim()
    inch = (high - low) / _inches_high(axes)
    ground = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.6, "alpha": 0.9}
    begun = False
    for phase in phases:
        begun = begun or phase.mode != "coast"
        if phase not in shown or not begun:
            continue
        for text in _phase_words(phase):
            if text_inches(text, SMALL) + 0.08 > (phase.end - phase.begin) * scale:
                continue
            axes.text((phase.begin + phase.end) / 2, _phase_height(phase, low, high, inch), text,
                      fontsize=SMALL, ha="center", va="center_baseline", zorder=5, bbox=ground,
                      color=INK if phase.duty else QUIET, gid="duty text")  # fmt: skip
            break


def _phase_words(phase: Drive) -> list[str]:
    """Give what may be written on a phase, the fullest first."""
    if not phase.duty:
        return [{"coast": "coasts", "brake": "brake"}.get(phase.mode, "brake and coast")]
    percent = share_words(abs(phase.duty))
    if phase.mode == "full":
        return [percent]
    return [f"{percent}, {phase.mode}", f"{percent} {phase.mode.removesuffix(' decay')}", percent]


def _phase_height(phase: Drive, low: float, high: float, inch: float) -> float:
    """Give the height of a phase's text: inside a tall bar, else beyond it or across from it."""
    up = phase.duty > 0 or (not phase.duty and high > 0)
    sign = 1.0 if up else -1.0
    bar = abs(100 * phase.duty) if phase.duty else (0.0 if phase.mode == "coast" else BRAKE * inch)
    if bar >= 0.2 * inch:
        return sign * bar / 2
    if bar + 0.17 * inch <= (high if up else -low):
        return sign * (bar + 0.11 * inch)
    return -sign * 0.11 * inch


def _inches_high(axes: Axes) -> float:
    figure = axes.get_figure(root=True)
    return axes.get_position().height * (figure.get_figheight() if figure else 1.0)
