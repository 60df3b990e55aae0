"""Threshold slider: what four line eyes read on a drive across the line, and what is called dark.

The counts are read, not drawn: a program drives a tug slantwise across the line of the table
`quay` and reads its eyes.  The slider moves the threshold.  Where no slider can be shown, the
picture for the first settings stands alone.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from typing import Any, NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..errors import KitError
from ..origin import Whose
from ..parts import IDEAL
from ..table import make_table
from ..trial import run_trial
from ..wiring import PINS
from .colours import INK, PAPER, RULE, readable
from .compose import head
from .lines import line_for
from .sliding import Choice, Span, slide
from .style import SIZE, SMALL, new_figure, spread, styled
from .words import listed

__all__ = ["INKS", "Crossing", "cross", "slide_threshold", "threshold_figure"]

INKS = {"quay, seed 0": 0, "quay, seed 4": 4}
"""Tables whose line is crossed: that of the lessons, and one with an ink poorer in the infrared."""
_TOP = 4095
_SLANT, _BEFORE = math.radians(50.0), 0.095
_PROGRAM = """
from machine import ADC, PWM, Pin
import time
eyes = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in ({eyes})]
ahead = [PWM(Pin(n), freq=1000, duty_u16=0) for n in ({ahead})]
back = [PWM(Pin(n), freq=1000, duty_u16=0) for n in ({back})]
for pwm in ahead:
    pwm.duty_u16(65535)
for pwm in back:
    pwm.duty_u16(65535 - 26000)
while True:
    for eye in eyes:
        eye.read()
    time.sleep_ms(8)
"""


class Crossing(NamedTuple):
    """What the eyes of a tug read on its way across the line.

    Attributes:
        way: Distance driven at each look, in mm.
        counts: For each eye its counts.
        over: For each eye what it is over at each look: 1 the line, 0 paper, between them its
            spot is over both.
    """

    way: tuple[float, ...]
    counts: tuple[tuple[int, ...], ...]
    over: tuple[tuple[float, ...], ...]

    def fits(self, eye: int, threshold: float) -> bool:
        """Tell whether a threshold lies between what an eye reads over paper and over the line."""
        pairs = list(zip(self.counts[eye], self.over[eye], strict=True))
        paper = max(count for count, over in pairs if over == 0.0)
        return paper < threshold < min(count for count, over in pairs if over == 1.0)


@functools.lru_cache(maxsize=16)
def cross(serial: int, seed: int = 0) -> Crossing:
    """Drive a tug slantwise across the line of the quay and read its eyes on the way."""
    table = make_table("quay", seed)
    line = table.line
    assert line is not None
    x, y, way = line.at(0.3)
    heading = way + _SLANT
    start = (x - _BEFORE * math.cos(heading), y - _BEFORE * math.sin(heading), heading)
    roles = [PINS[f"eye_{k}"] for k in range(4)]
    program = _PROGRAM.format(
        eyes=", ".join(map(str, roles)),
        ahead=f"{PINS['left_ahead']}, {PINS['right_ahead']}",
        back=f"{PINS['left_back']}, {PINS['right_back']}",
    )
    made = run_trial(
        program, table="quay", seed=seed, serial=serial, seconds=1.3, start=start,
        day=IDEAL.name, whose=Whose.KIT,
    )  # fmt: skip
    reads = [[e for e in made.of("adc", pin=pin)] for pin in roles]
    looks = min(map(len, reads))
    times = [event.seconds for event in reads[0][:looks]]
    driven = [math.dist(start[:2], (made.at("x", t), made.at("y", t))) for t in times]
    counts = tuple(tuple(int(event.data[1]) for event in eye[:looks]) for eye in reads)
    over = tuple(
        tuple(_over(line, made, event.seconds, eye) for event in reads[eye][:looks])
        for eye in range(4)
    )
    return Crossing(tuple(1000 * d for d in driven), counts, over)


def _over(line: Any, made: Any, t: float, eye: int) -> float:
    """Tell what an eye is over: 1 the line, 0 paper, a half where its spot is over the edge."""
    heading, port = made.at("heading", t), 0.018 - 0.012 * eye
    x = made.at("x", t) + 0.044 * math.cos(heading) - port * math.sin(heading)
    y = made.at("y", t) + 0.044 * math.sin(heading) + port * math.cos(heading)
    off = abs(line.nearest(x, y).offset) - 0.009
    return 0.5 if abs(off) < 0.003 else float(off < 0)


def threshold_figure(threshold: float = 2048, serial: int = 0, seed: int = 0) -> Figure:
    """Draw the counts of the eyes across the line, and where each is dark by a threshold.

    Args:
        threshold: In counts, 0 to 4095.
        serial: The tug.
        seed: Seed of the table `quay`.

    Returns:
        The figure; its label tells it in words.

    Raises:
        KitError: The threshold is not from 0 to 4095.
    """
    if not 0 <= threshold <= _TOP:
        raise KitError(
            f"A threshold is a count from 0 to {_TOP}, not {threshold!r}.",
            hint="write 2048 for the middle of the scale.",
        )
    crossing = cross(serial, seed)
    with styled():
        drawn = new_figure(10.0, 4.2)
        title, words = _words(crossing, threshold, serial, seed)
        head(
            drawn, title, f"Tug {serial} drives slantwise across the line of the quay, seed {seed}"
        )
        drawn.set_label(f"{title}. {words}")
        axes = drawn.add_axes((0.075, 0.33, 0.78, 0.46), label="counts")
        _draw_counts(axes, crossing, threshold)
        for eye in range(4):
            box = (0.075, 0.245 - 0.045 * eye, 0.78, 0.035)
            _draw_dark(drawn.add_axes(box, label=f"eye {eye}"), crossing, threshold, eye)
        return drawn


def _words(crossing: Crossing, threshold: float, serial: int, seed: int) -> tuple[str, str]:
    good = [eye for eye in range(4) if crossing.fits(eye, threshold)]
    bad = [eye for eye in range(4) if eye not in good]
    if not bad:
        title = f"At {threshold:.0f} every eye tells the line from the paper"
    else:
        names = listed([str(eye) for eye in bad])
        verb = "eyes" if len(bad) > 1 else "eye"
        do = "do" if len(bad) > 1 else "does"
        title = f"At {threshold:.0f} {verb} {names} {do} not tell the line from the paper"
    ranges = "; ".join(
        f"eye {eye} reads {min(counts)} to {max(counts)}"
        for eye, counts in enumerate(crossing.counts)
    )
    return title, f"Tug {serial} on the quay, seed {seed}: {ranges}."


def _draw_counts(axes: Axes, crossing: Crossing, threshold: float) -> None:
    axes.grid(True, color=RULE, linewidth=0.6)
    last = [counts[-1] for counts in crossing.counts]
    places = spread([count / _TOP for count in last], 0.085, 0.02, 0.98)
    for eye, counts in enumerate(crossing.counts):
        line = line_for(eye)
        axes.plot(crossing.way, counts, color=line.colour, linestyle=line.dashes, gid="counts")
        axes.text(1.012, places[eye], f"eye {eye}", transform=axes.transAxes, fontsize=SMALL,
                  color=readable(line.colour), va="center", fontweight="bold")  # fmt: skip
    axes.axhline(threshold, color=INK, linewidth=1.4, linestyle=(0, (6, 2)), gid="threshold")
    low = threshold < _TOP / 2
    axes.annotate(
        f"threshold {threshold:.0f}", (crossing.way[-1], threshold), xytext=(-4, 3 if low else -3),
        textcoords="offset points", fontsize=SMALL, color=INK, fontweight="bold", ha="right",
        va="bottom" if low else "top", bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.5},
    )  # fmt: skip
    axes.set_xlim(crossing.way[0], crossing.way[-1])
    axes.set_ylim(0, _TOP)
    axes.set_yticks([0, 1000, 2000, 3000, 4095])
    axes.set_xticklabels([])
    axes.set_title("count of each eye; below: filled where it is above the threshold, dark",
                   fontsize=SIZE, color=INK, loc="left", fontweight="bold")  # fmt: skip


def _draw_dark(axes: Axes, crossing: Crossing, threshold: float, eye: int) -> None:
    """Draw where one eye is dark, as a bar along the way."""
    line = line_for(eye)
    for begin, end in _stretches(crossing.way, crossing.counts[eye], threshold):
        axes.axvspan(begin, end, color=line.colour, linewidth=0, gid="dark")
    axes.set_xlim(crossing.way[0], crossing.way[-1])
    axes.set_ylim(0, 1)
    axes.set_yticks([])
    axes.text(-0.008, 0.5, f"eye {eye}", transform=axes.transAxes, ha="right", va="center",
              fontsize=SMALL, color=INK)  # fmt: skip
    if eye < 3:
        axes.set_xticklabels([])
    else:
        axes.set_xlabel("driven in mm")


def _stretches(
    way: Sequence[float], counts: Sequence[int], threshold: float
) -> list[tuple[float, float]]:
    """Give from where to where the counts are above a threshold."""
    found: list[tuple[float, float]] = []
    begin: float | None = None
    for here, count in zip(way, counts, strict=True):
        if count > threshold and begin is None:
            begin = here
        elif count <= threshold and begin is not None:
            found.append((begin, here))
            begin = None
    if begin is not None:
        found.append((begin, way[-1]))
    return found


def slide_threshold(threshold: int = 2048, *, serial: int | None = None) -> None:
    """Show a slider for the threshold and a choice of tables, with the picture that follows them.

    Args:
        threshold: Where the slider stands at first.
        serial: The tug; None for the learner's own.
    """
    from ..notebook import own_serial

    tug = own_serial() if serial is None else serial
    slide(
        lambda threshold, seed: threshold_figure(threshold, tug, seed),
        Span("threshold", "threshold in counts", threshold, 0, _TOP, 5),
        Choice("seed", "table", next(iter(INKS.values())), list(INKS.items())),
    )
