"""Strips: what each part did over time, under each other on one time axis.

Only what happened is drawn: a tug whose arm never moved has no strip for it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure

from ..recording import Recording
from ..units import seconds
from ..wiring import LAMPS
from .colours import INK, OKABE_ITO, QUIET, RULE, readable
from .facts import SIDES, counts, drives, glows, journey, touches
from .lanes import draw_duty, draw_lamps, draw_printed
from .lines import LINES, Line, line_for
from .style import SIZE, SMALL, spread, text_inches, time_ticks, unlabelled

__all__ = ["GAP", "HEAD", "Strip", "draw_strips", "nice_limit", "speeds", "strips_of", "turn_rate"]

HEAD, GAP, FOOT = 0.24, 0.25, 0.36
"""Inches above the strips (marks), between them (their names) and below (the time)."""

WAKE = "#8C939D"
"""The broad grey line beneath the wheels' lines: the tug as a whole."""
Names = list[tuple[float, str, Line | None]]
"""What stands to the right of a strip: (height in its unit, name, the line it names)."""


class Strip(NamedTuple):
    """One strip: its name, its height in inches, and what draws it and names its lines."""

    name: str
    inches: float
    draw: Callable[[Axes, Recording], Names]


def speeds(recording: Recording) -> tuple[Any, Any]:
    """Give times and the speed of the tug along its heading, m/s, from where it was."""
    t, x, y, heading = (np.asarray(recording.tracks[n]) for n in ("t", "x", "y", "heading"))
    if len(t) < 3:
        return t, np.zeros(len(t))
    along = np.gradient(x, t) * np.cos(heading) + np.gradient(y, t) * np.sin(heading)
    return t, along


def turn_rate(recording: Recording) -> tuple[Any, Any]:
    """Give times and the rate of turn in degrees a second, to port positive."""
    t, heading = np.asarray(recording.tracks["t"]), np.asarray(recording.tracks["heading"])
    return t, np.degrees(np.gradient(heading, t)) if len(t) > 2 else np.zeros(len(t))


def nice_limit(value: float) -> float:
    """Give the round number at or just above a value: 1, 1.5, 2, 3, 4, 5, 6 or 8 times a power."""
    if value <= 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(value) + 1e-9)
    for factor in (1, 1.5, 2, 3, 4, 5, 6, 8):
        if value <= factor * power * (1 + 1e-9):
            return factor * power
    return 10 * power


def strips_of(
    recording: Recording, *, tall: bool = False, processor: bool = False
) -> list[Strip]:
    """Choose the strips for a recording.

    Args:
        recording: The recording.
        tall: Whether it is all lamps and no motion.
        processor: Whether to show how busy the board's processor was.
    """
    found: list[Strip] = []
    if recording.printed:
        found.append(Strip("printed", 0.2, draw_printed))
    if glows(recording):
        row = (1.8 if tall else 0.9) / len(LAMPS)
        found.append(Strip("lamps", row * recording.build.lamps, draw_lamps))
    for side in SIDES:
        if any(d.duty or d.mode != "coast" for d in drives(recording, side)):
            both = len({math.copysign(1, d.duty) for d in drives(recording, side) if d.duty}) > 1
            found.append(Strip(f"{side} motor, duty in %", 0.66 if both else 0.5, _duty_lane(side)))
    if journey(recording).moved or _spun(recording):
        found.append(Strip("speed in m/s", 0.72, _draw_speeds))
        if journey(recording).swept >= math.radians(2.0):
            found.append(Strip("rate of turn in °/s, to port is up", 0.5, _draw_turn))
    angles = recording.tracks.get("arm", ())
    if angles and max(angles) - min(angles) > math.radians(0.5):
        found.append(Strip("arm in degrees, to port is up", 0.5, _draw_arm))
    if any(counts(recording, eye)[0] for eye in range(4)):
        found.append(Strip("line eyes in counts, eye 0 to port", 0.75, _draw_eyes))
    volts = recording.tracks.get("volts", ())
    if volts and max(volts) - min(volts) > 0.02:
        found.append(Strip("battery in V", 0.4, _draw_volts))
    if processor and recording.tracks.get("busy"):
        found.append(Strip("processor, busy in %", 0.4, _draw_busy))
    return found


def _spun(recording: Recording) -> bool:
    wheels = (*recording.tracks.get("left", ()), *recording.tracks.get("right", ()))
    return any(abs(v) > 0.005 for v in wheels)


def draw_strips(
    figure: Figure, recording: Recording, strips: Sequence[Strip],
    box: tuple[float, float, float, float],
) -> list[Axes]:  # fmt: skip
    """Draw strips into a box of a figure: left, top, width, height in inches from the top left."""
    left, top, width, height = box
    wide, high = figure.get_figwidth(), figure.get_figheight()
    share = (height - HEAD - FOOT - GAP * len(strips)) / max(sum(s.inches for s in strips), 0.1)
    ticks = time_ticks(recording.seconds)
    drawn: list[Axes] = []
    y = top + HEAD
    for strip in strips:
        tall = strip.inches * share
        y += GAP
        axes = figure.add_axes(
            (left / wide, 1 - (y + tall) / high, width / wide, tall / high), label=strip.name
        )
        y += tall
        axes.set_xlim(0.0, recording.seconds)
        axes.set_xticks([])
        unlabelled(axes)
        axes.tick_params(axis="y", length=2, pad=2)
        names = strip.draw(axes, recording)
        axes.text(0.0, 1 + 0.055 / tall, strip.name, transform=axes.transAxes, fontsize=SMALL,
                  va="baseline", color=INK, fontweight="bold", gid="strip name")  # fmt: skip
        _name_lines(axes, names, width, tall)
        if strip.name not in ("lamps", "printed"):
            # One artist, where a tick with its grid line has five.
            axes.add_collection(
                LineCollection([[(t, 0.0), (t, 1.0)] for t in ticks], colors=RULE, linewidths=0.6,
                               zorder=0.5, capstyle="round", gid="grid",
                               transform=axes.get_xaxis_transform()),
                autolim=False,
            )  # fmt: skip
        drawn.append(axes)
    if drawn:
        _time_axis(drawn[-1], ticks)
        _mark_moments(drawn, recording, width)
    return drawn


def _time_axis(axes: Axes, ticks: Sequence[float]) -> None:
    places = max((len(f"{t:g}".partition(".")[2]) for t in ticks), default=0)
    names = [f"{t:.{places}f}" for t in ticks]
    names[-1] += " s"
    axes.tick_params(axis="x", length=2.5)
    axes.set_xticks(list(ticks), names)


def _name_lines(axes: Axes, names: Names, width: float, tall: float) -> None:
    """Write each line's name to the right of where it ends, with a sample of its dashes."""
    low, high = axes.get_ylim()
    sizes = [(value - low) / (high - low) for value, _, _ in names]
    apart = 1.12 * SIZE / 72 / tall
    places = spread(sizes, apart, min(0.06 / tall, 0.5), max(1 - 0.06 / tall, 0.5))
    for place, (_, name, line) in zip(places, names, strict=True):
        start = 0.06
        if line is not None:
            axes.plot([1 + start / width, 1 + (start + 0.24) / width], [place, place],
                      color=line.colour, linestyle=line.dashes, linewidth=1.6, clip_on=False,
                      transform=axes.transAxes, gid="sample")  # fmt: skip
            start += 0.29
        colour = readable(line.colour) if line else QUIET
        axes.text(1 + start / width, place, name, transform=axes.transAxes, fontsize=SMALL,
                  va="center_baseline", color=colour, gid="line name")  # fmt: skip


def _mark_moments(drawn: Sequence[Axes], recording: Recording, width: float) -> None:
    """Draw lines through all strips where the program ended, the board reset, the hull touched."""
    red, over = OKABE_ITO["vermilion"], seconds(recording.ended_ns)
    problem = recording.problem
    bad = recording.ended in ("error", "stopped")
    told = {"finished": "program ended", "stopped": "program stopped"}.get(
        recording.ended, recording.ended
    )
    if recording.ended == "error" and problem is not None:
        told = f"error: {problem.kind}"
    moments = [(over, told, red if bad else INK, (0, (4, 2)), 1.2)]
    moments += [(e.seconds, "reset", INK, (0, (1, 1)), 1.0) for e in recording.of("reset")]
    moments += [(t, what, red, (0, (1, 2)), 1.0) for t, what in touches(recording)]
    touched = {what for _, what in touches(recording)}
    taken: list[tuple[float, float]] = []
    for time, text, colour, dashes, line_width in moments:
        for axes in drawn:
            if text in touched and axes.get_label() == "lamps":
                continue
            axes.axvline(time, color=colour, linestyle=dashes, linewidth=line_width, zorder=4,
                         gid="moment", clip_on=False)  # fmt: skip
        half = text_inches(text, SMALL) / 2
        at = min(max(time / recording.seconds * width, half), width + 0.9 - half)
        if all(at + half < a or at - half > b for a, b in taken):
            taken.append((at - half - 0.05, at + half + 0.05))
            tall = drawn[0].get_position().height * _height(drawn[0])
            drawn[0].text(at / width, 1 + (GAP + 0.06) / tall, text, fontsize=SMALL, ha="center",
                          va="baseline", color=readable(colour), transform=drawn[0].transAxes,
                          fontweight="bold" if bad and time == over else "normal",
                          gid="moment name")  # fmt: skip
            drawn[0].plot([time], [1 + (GAP - 0.01) / tall], marker="v", markersize=4,
                          color=colour, clip_on=False, gid="moment mark",
                          transform=drawn[0].get_xaxis_transform())  # fmt: skip


def _height(axes: Axes) -> float:
    figure = axes.get_figure(root=True)
    return float(figure.get_figheight()) if figure else 1.0


# -- the strips ----------------------------------------------------------------


def _duty_lane(side: str) -> Callable[[Axes, Recording], Names]:
    def draw(axes: Axes, recording: Recording) -> Names:
        draw_duty(axes, recording, side, LINES[SIDES.index(side)])
        return []

    return draw


def _limits(axes: Axes, values: Any, *, least: float = 0.0) -> None:
    """Give an axes round limits about 0 that hold all values, with ticks at 0 and the limits."""
    values = np.asarray(values, dtype=float)
    limit = nice_limit(max(float(np.max(np.abs(values))), least))
    low = -limit if float(values.min()) < -0.04 * limit else 0.0
    high = limit if float(values.max()) > 0.04 * limit or not low else 0.0
    pad = 0.06 * (high - low)
    axes.set_ylim(low - pad, high + pad)
    ticks = sorted({low, 0.0, high})
    axes.set_yticks(ticks, [f"{v:g}".replace("-", "\u2212") for v in ticks])
    if low < 0 < high:
        axes.axhline(0.0, color=RULE, linewidth=0.8, zorder=0.8)


def _draw_speeds(axes: Axes, recording: Recording) -> Names:
    t, along = speeds(recording)
    names: Names = []
    wide = Line(WAKE, "solid", "")
    axes.plot(t, along, color=wide.colour, linewidth=4.5, solid_capstyle="butt", gid="tug")
    everything = [along]
    names.append((float(along[-1]), "tug", wide))
    for number, side in enumerate(SIDES):
        if side not in recording.tracks:
            continue
        line, values = LINES[number], np.asarray(recording.tracks[side])
        axes.plot(t, values, color=line.colour, linestyle=line.dashes, gid=f"{side} wheel")
        everything.append(values)
        names.append((float(values[-1]), f"{side} wheel", line))
    _limits(axes, np.concatenate(everything), least=0.01)
    names.sort(key=lambda n: ("left wheel", "tug", "right wheel").index(n[1]))
    names.reverse()  # ties are stacked from below
    return names


def _draw_turn(axes: Axes, recording: Recording) -> Names:
    t, rate = turn_rate(recording)
    axes.plot(t, rate, color=INK, linewidth=1.2, gid="rate of turn")
    _limits(axes, rate, least=1.0)
    return []


def _draw_arm(axes: Axes, recording: Recording) -> Names:
    angle = np.degrees(recording.tracks["arm"])
    axes.plot(recording.tracks["t"], angle, color=INK, linewidth=1.4, gid="arm")
    _limits(axes, angle, least=45.0)
    return []


def _draw_eyes(axes: Axes, recording: Recording) -> Names:
    names: Names = []
    highest = 1
    for eye in range(4):
        times, raws = counts(recording, eye)
        if not times:
            continue
        line = line_for(eye)
        few = len(times) <= 40
        axes.plot(times, raws, color=line.colour, linestyle=line.dashes, linewidth=1.2,
                  marker=line.marker if few else "", markersize=3, gid=f"eye {eye}")  # fmt: skip
        names.append((raws[-1], f"eye {eye}", line))
        highest = max(highest, *raws)
    top = 4095 if highest <= 4095 else 65535
    axes.set_ylim(-0.05 * top, 1.05 * top)
    axes.set_yticks([0, top], ["0", f"{top}"])
    return names


def _draw_volts(axes: Axes, recording: Recording) -> Names:
    volts = np.asarray(recording.tracks["volts"])
    axes.plot(recording.tracks["t"], volts, color=INK, linewidth=1.0, gid="battery")
    low = math.floor(round(volts.min() * 10, 3)) / 10
    high = math.ceil(round(volts.max() * 10, 3)) / 10
    if high - low < 0.15:
        low -= 0.1
    pad = 0.08 * (high - low)
    axes.set_ylim(low - pad, high + pad)
    axes.set_yticks([low, high], [f"{low:.1f}", f"{high:.1f}"])
    return []


def _draw_busy(axes: Axes, recording: Recording) -> Names:
    """Draw the share of each tenth of a second, since single samples only flicker."""
    t, busy = np.asarray(recording.tracks["t"]), np.asarray(recording.tracks["busy"])
    wide = min(10, len(busy))
    mean = 100 * np.convolve(busy, np.ones(wide) / wide, mode="same")
    axes.fill_between(t, mean, color=QUIET, alpha=0.35, linewidth=0, gid="busy")
    axes.plot(t, mean, color=INK, linewidth=1.0, gid="busy")
    axes.set_ylim(0, 105)
    axes.set_yticks([0, 100], ["0", "100"])
    return []
