"""Pulse slider: where the arm goes at a pulse, and the pulse's number on the board's three scales.

The angle is the servo model's own, for a tug as drawn: a real one has a trim.  Where no sliders
can be shown, the picture for the first setting stands alone.
"""

from __future__ import annotations

import math

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Arc, Circle, Wedge

from ..errors import KitError
from ..parts.servo import STOPS_US, angle_of, pulse_us
from ..wiring import Signal
from .colours import INK, OKABE_ITO, PAPER, QUIET, RULE, readable
from .compose import head
from .sliding import Span, slide
from .style import SIZE, SMALL, new_figure, styled

__all__ = ["FRAME_US", "numbers", "pulse_figure", "slide_pulse", "state"]

FRAME_US = 20_000
"""From one pulse to the next in us: 50 a second (Futaba practice, read)."""
_LOW, _HIGH = 400, 2600
_SCALES = {"duty_ns": 20_000_000, "duty_u16": 65_535, "duty": 1023}
"""Each scale's number for the whole of a frame."""
_ONE_MORE = {
    "duty_ns": "1000 more: 1 µs, 0.1°",
    "duty_u16": "1 more: 0.3 µs, 0.03°",
    "duty": "1 more: 19.6 µs, 1.8°",
}
_PULSE, _WARN = OKABE_ITO["blue"], OKABE_ITO["vermilion"]
_HULL = 58 / 30
"""Radius of the hull against the paddle's length."""


def numbers(us: float) -> dict[str, int]:
    """Give the number on each scale for a pulse in us, 50 of them a second, rounded."""
    return {name: round(us / FRAME_US * full) for name, full in _SCALES.items()}


def state(us: float) -> tuple[float | None, str]:
    """Give the angle in degrees that a pulse brings the arm to, None for none, and it in words."""
    if pulse_us(Signal(us / FRAME_US, 1e6 / FRAME_US)) is None:
        return None, f"too {'short' if us < 1500 else 'long'}, the servo hears nothing"
    low, high = STOPS_US
    angle = math.degrees(angle_of(min(max(us, low), high)))
    if not low <= us <= high:
        return angle, f"presses on its {'port' if us > 1500 else 'starboard'} stop and gets hot"
    if abs(angle) < 0.05:
        return angle, "straight ahead"
    return angle, f"{abs(angle):.1f}° to {'port' if angle > 0 else 'starboard'}"


def pulse_figure(us: int) -> Figure:
    """Draw one frame with its pulse, the pulse on three scales, and the arm from above.

    Args:
        us: The pulse in us.

    Returns:
        The figure; its label tells it in words.

    Raises:
        KitError: The pulse does not fit into its frame.
    """
    if not 0 <= us <= FRAME_US:
        raise KitError(
            f"A pulse of a servo lasts from 0 to {FRAME_US} us, not {us!r}.",
            hint="write 1500 for straight ahead.",
        )
    angle, words = state(us)
    with styled():
        drawn = new_figure(10.0, 3.5)
        share = 100 * us / FRAME_US
        title = f"A pulse of {us / 1000:.2f} ms, {share:.2f} % of the time: {words}"
        head(drawn, title, "50 pulses a second, so one frame lasts 20 ms; a tug without trim")
        told = ", ".join(f"{name} {number}" for name, number in numbers(us).items())
        drawn.set_label(
            f"A pulse of {us} us in a frame of 20 ms: {share:.2f} %. "
            f"The arm: {words.replace('°', ' degrees')}. As numbers: {told}."
        )
        _draw_frame(drawn.add_axes((0.10, 0.56, 0.54, 0.20), label="frame"), us)
        for k, (name, number) in enumerate(numbers(us).items()):
            axes = drawn.add_axes((0.10, 0.31 - 0.125 * k, 0.54, 0.10), label=name)
            _draw_scale(axes, name, number)
        _draw_arm(drawn.add_axes((0.70, 0.02, 0.28, 0.80), label="arm"), angle, us)
        return drawn


def _draw_frame(axes: Axes, us: float) -> None:
    """Draw the level of the pin over one frame, and the start of the next."""
    ms = us / 1000
    axes.plot([0, 0, ms, ms, 20, 20], [0, 1, 1, 0, 0, 1], color=_PULSE, linewidth=1.8, gid="level")
    axes.fill_between([0, ms], 0, 1, color=_PULSE, alpha=0.15, linewidth=0, gid="pulse")
    axes.set_xlim(0, 20)
    axes.set_ylim(0, 1.12)
    axes.set_yticks([0, 1], ["low", "high"])
    axes.set_xticks([0, 5, 10, 15, 20], ["0", "5", "10", "15", "20 ms"])
    axes.text(11.0, 0.5, "one frame: the pin is high, then low until the next pulse",
              ha="center", va="center", fontsize=SMALL, color=QUIET)  # fmt: skip


def _draw_scale(axes: Axes, name: str, number: int) -> None:
    """Draw a ruler as long as the frame, with the number where the pulse ends."""
    full = _SCALES[name]
    axes.set_xlim(0, full)
    axes.set_ylim(0, 1)
    axes.axis("off")
    axes.plot([0, full], [0.25, 0.25], color=QUIET, linewidth=1.0, clip_on=False)
    for place in (0, full):
        axes.plot([place, place], [0.05, 0.45], color=QUIET, linewidth=1.0, clip_on=False)
    axes.plot([number], [0.25], "v", color=_PULSE, markersize=7, clip_on=False, zorder=4,
              gid="number")  # fmt: skip
    axes.text(-0.02 * full, 0.25, name, ha="right", va="center", fontsize=SIZE, color=INK,
              family="DejaVu Sans Mono")  # fmt: skip
    axes.text(number + 0.018 * full, 0.72, f"{number}", ha="left", va="center", fontsize=SIZE,
              color=readable(_PULSE), fontweight="bold")  # fmt: skip
    axes.text(0.98 * full, 0.72, f"of {full}", ha="right", va="center", fontsize=SMALL, color=QUIET)
    axes.text(0.50 * full, 0.72, _ONE_MORE[name], ha="center", va="center", fontsize=SMALL,
              color=QUIET)  # fmt: skip


def _on(angle: float, radius: float) -> tuple[float, float]:
    """Give a place on the dial: angle in degrees from ahead, to port positive; ahead is up."""
    return -radius * math.sin(math.radians(angle)), radius * math.cos(math.radians(angle))


def _draw_arm(axes: Axes, angle: float | None, us: float) -> None:
    """Draw the bow from above with the arm, its range and its stops."""
    axes.set_aspect("equal")
    axes.set_xlim(-1.75, 1.75)
    axes.set_ylim(-1.15, 1.75)
    axes.axis("off")
    axes.add_artist(Wedge((0, 0), 1.12, 45, 135, facecolor=RULE, alpha=0.6, edgecolor="none"))
    axes.add_artist(Circle((0, -_HULL), _HULL, facecolor="#C9D1D9", edgecolor=INK, linewidth=1.0))
    low, high = (math.degrees(angle_of(stop)) for stop in STOPS_US)
    axes.add_artist(Arc((0, 0), 2.24, 2.24, theta1=90 + low, theta2=90 + high, color=QUIET))
    for mark, text in ((-45, "1.0 ms"), (0, "1.5 ms"), (45, "2.0 ms")):
        axes.plot(*zip(_on(mark, 1.06), _on(mark, 1.18), strict=True), color=QUIET, linewidth=1.0)
        x, y = _on(mark, 1.28)
        words = f"{abs(mark)}°, {text}" if mark else f"ahead, {text}"
        axes.text(x, y, words, ha=("center" if not mark else "right" if x < 0 else "left"),
                  va="bottom", fontsize=SMALL, color=QUIET)  # fmt: skip
    for stop in (low, high):
        axes.plot(*zip(_on(stop, 0.98), _on(stop, 1.26), strict=True), color=_WARN, linewidth=2.4)
    stopped = angle is not None and not STOPS_US[0] <= us <= STOPS_US[1]
    tip = _on(angle or 0.0, 1.0)
    axes.plot([0, tip[0]], [0, tip[1]], linewidth=4.5, solid_capstyle="round", gid="arm",
              color=QUIET if angle is None else _WARN if stopped else INK,
              linestyle=(0, (1.2, 0.8)) if angle is None else "solid")  # fmt: skip
    axes.plot([0], [0], "o", color=PAPER, markeredgecolor=INK, markersize=6, zorder=4)
    axes.text(-1.72, 1.5, "port", fontsize=SMALL, color=INK, ha="left", fontweight="bold")
    axes.text(1.72, 1.5, "starboard", fontsize=SMALL, color=INK, ha="right", fontweight="bold")
    axes.text(0, -0.75, "bow" if angle is not None else "stays where it is", ha="center",
              va="center", fontsize=SMALL, color=INK)  # fmt: skip


def slide_pulse(us: int = 1500) -> None:
    """Show a slider for the pulse, with the picture that follows it.

    Args:
        us: Where the slider stands at first, in us.
    """
    slide(pulse_figure, Span("us", "pulse in us", us, _LOW, _HIGH, 10))
