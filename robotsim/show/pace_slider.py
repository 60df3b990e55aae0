"""Pace slider: how hard the motors work and how often the tug looks, against where it stops.

Each position of the sliders runs a real program on the simulated tug, on the table `harbour`: it
follows the line, counts the strokes that cross it, and brakes at the second one, the bar.  Where
no sliders can be shown, the picture for the first settings stands alone.
"""

from __future__ import annotations

import functools
import math

from matplotlib.figure import Figure

from ..errors import KitError
from ..origin import Whose
from ..parts import IDEAL
from ..recording import Recording
from ..table import make_table, stop_bars
from ..trial import run_trial
from ..wiring import PINS
from .along import along_figure, kept
from .sliding import Span, slide
from .threshold_slider import cross

__all__ = ["pace_figure", "paced", "slide_pace"]

_SECONDS = 18.0
_LOW, _HIGH, _LONGEST = 0.3, 1.0, 80
_AHEAD = 0.044
"""The row of eyes ahead of the axle, in m (the tug's drawing)."""
_PROGRAM = """
from machine import ADC, PWM, Pin
import time
eyes = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in ({eyes})]
out = [PWM(Pin(n), freq=1000, duty_u16=0) for n in ({motors})]
white, black = {white}, {black}
last = strokes = crossing = 0


def drive(left, right):
    for k, effort in ((0, left), (2, right)):
        effort = max(-1, min(1, effort))
        out[k].duty_u16(65535 if effort >= 0 else int(65535 * (1 + effort)))
        out[k + 1].duty_u16(65535 if effort < 0 else int(65535 * (1 - effort)))


while True:
    dark = [max(0, min(1, (e.read() - w) / (b - w))) for e, w, b in zip(eyes, white, black)]
    total = sum(dark)
    strokes += total > 2.2 and not crossing
    crossing = total > 2.2
    if strokes > 1 and min(dark) > 0.5:
        break
    if total < 0.3:
        position = 24 if last > 0 else -24
    elif crossing:
        position = last
    else:
        position = (18 * (dark[0] - dark[3]) + 6 * (dark[1] - dark[2])) / total
    steer = 0.035 * position + 0.001 * (position - last) / {round_s}
    last = position
    drive({effort} - steer, {effort} + steer)
    time.sleep_ms({round_ms})
drive(0, 0)
time.sleep_ms(300)
for pwm in out:
    pwm.duty_u16(0)
"""


@functools.lru_cache(maxsize=64)
def paced(effort: float, round_ms: int = 20, serial: int = 7) -> Recording:
    """Let a tug drive to the bar of the table `harbour`.

    Args:
        effort: Mean effort of both motors.
        round_ms: Sleep in each round of the loop, in ms.
        serial: The tug.

    Raises:
        KitError: The effort or the sleep is out of range.
    """
    if not (_LOW <= effort <= _HIGH and 1 <= round_ms <= _LONGEST):
        raise KitError(
            f"An effort of {effort!r} with a sleep of {round_ms!r} ms cannot be tried.",
            hint=f"the effort goes from {_LOW} to {_HIGH}, the sleep from 1 to {_LONGEST} ms.",
        )
    counts = cross(serial).counts
    roles = ("left_ahead", "left_back", "right_ahead", "right_back")
    program = _PROGRAM.format(
        eyes=", ".join(str(PINS[f"eye_{k}"]) for k in range(4)),
        motors=", ".join(str(PINS[role]) for role in roles),
        white=[min(eye) for eye in counts], black=[max(eye) for eye in counts],
        round_ms=int(round_ms), round_s=round_ms / 1000, effort=effort,
    )  # fmt: skip
    return run_trial(
        program, table="harbour", serial=serial, seconds=_SECONDS, day=IDEAL.name, whose=Whose.KIT
    )


def pace_figure(effort: float, round_ms: int = 20, serial: int = 7) -> Figure:
    """Draw the tug's way to the bar: its path, and its distance from the line.

    Args and raises: as `paced`.

    Returns:
        The figure; its label tells it in words.
    """
    made = paced(effort, round_ms, serial)
    title = _finding(made)
    drawn = along_figure([made], [f"effort {effort:g}, {round_ms} ms"], title=title)
    drawn.set_label(f"{drawn.get_label()} {title}.")
    return drawn


def _finding(made: Recording) -> str:
    """Tell how long it took, how near the line it kept, and where it stands."""
    way = kept(made)
    if way.lost:
        return f"The line was lost after {way.gone[-1]:.2f} m"
    table = make_table(made.table)
    assert table.line
    x, y, heading = made.end
    bar_x, bar_y, ahead = table.line.at(stop_bars(table)[0])
    east, north = x + _AHEAD * math.cos(heading) - bar_x, y + _AHEAD * math.sin(heading) - bar_y
    past = 1000 * (east * math.cos(ahead) + north * math.sin(ahead))
    mean = sum(map(abs, way.off)) / len(way.off)
    return (
        f"{made.ended_ns / 1e9:.1f} s, on average {mean:.1f} mm off the line, the eyes "
        f"{abs(past):.0f} mm {'past' if past > 0 else 'short of'} the middle of the bar"
    )


def slide_pace(effort: float = 0.5, *, serial: int | None = None) -> None:
    """Show sliders for the effort and the loop's sleep, with the picture that follows them.

    Args:
        effort: Where the first slider stands at first.
        serial: The tug; None for the learner's own.
    """
    from ..notebook import own_serial

    tug = own_serial() if serial is None else serial
    slide(
        lambda effort, pause: pace_figure(effort, pause, tug),
        Span("effort", "effort", effort, _LOW, _HIGH, 0.05, 2),
        Span("pause", "sleep in ms", 20, 10, _LONGEST, 5),
    )
