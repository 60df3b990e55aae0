"""Gain slider: a line follower's gains, and what a tug makes of them on the line.

Each position of the sliders runs a real program on the simulated tug: it looks, steers in
proportion to the line's position and to how fast that changes, and sleeps.  Where no sliders can
be shown, the picture for the first settings stands alone.
"""

from __future__ import annotations

import functools
import math

from matplotlib.figure import Figure

from ..errors import KitError
from ..origin import Whose
from ..recording import Recording
from ..table import make_table
from ..trial import run_trial
from ..wiring import PINS
from .along import Kept, along_figure, kept
from .sliding import Span, slide
from .threshold_slider import cross

__all__ = [
    "MOST_PRINTED",
    "PLACES",
    "gain_figure",
    "laws_figure",
    "show_laws",
    "slide_gains",
    "steered",
]

PLACES = {"wave": ("channel", 6.2), "straight": ("quay", 2.6)}
"""Where it can be tried: table, and simulated time in s until about its end."""
_EFFORT = 0.75
_ASIDE = 0.012
"""On the straight the tug begins so far to port of the line, in m."""
_WEAVES = 8.0
"""From side to side in mm: more than this is weaving, less is the eyes' own coarseness."""
MOST_PRINTED = 400
"""Characters that a program prints in each round, at most; a line's end has two of them."""
_TOP_KP, _TOP_KD, _TOP_ROUND = 0.3, 0.006, 100
_PROGRAM = """
from machine import ADC, PWM, Pin
import time
eyes = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in ({eyes})]
out = [PWM(Pin(n), freq=1000, duty_u16=0) for n in ({motors})]
white, black = {white}, {black}
last = None
while True:
    dark = [max(0, min(1, (e.read() - w) / (b - w))) for e, w, b in zip(eyes, white, black)]
    total = sum(dark)
    if total < 0.3:
        position = 24 if (last or 0) > 0 else -24
    elif total > 2.5:
        position = last or 0
    else:
        position = (18 * dark[0] + 6 * dark[1] - 6 * dark[2] - 18 * dark[3]) / total
    rate = 0 if last is None else (position - last) / {round_s}
    last = position
    steer = {law}
    for k, effort in ((0, {effort} - steer), (2, {effort} + steer)):
        effort = max(-1, min(1, effort))
        out[k].duty_u16(65535 if effort >= 0 else int(65535 * (1 + effort)))
        out[k + 1].duty_u16(65535 if effort < 0 else int(65535 * (1 - effort)))
    {talk}
    time.sleep_ms({round_ms})
"""


@functools.lru_cache(maxsize=64)
def steered(
    kp: float, kd: float = 0.0, round_ms: int = 40, where: str = "wave", serial: int = 7,
    on_off: bool = False, printed: int = 0,
) -> Recording:  # fmt: skip
    """Let a tug follow the line with some gains.

    Args:
        kp: Effort for each mm that the line lies aside; with `on_off` the effort by which it
            steers to whichever side the line lies.
        kd: Effort for each mm/s at which that changes.
        round_ms: Sleep in each round of the loop, in ms.
        where: "wave" (the table `channel`) or "straight" (the first side of `quay`, the tug
            beginning 12 mm to port of the line).
        serial: The tug.
        on_off: Whether to steer on and off in place of in proportion.
        printed: How many characters the program prints in each round.

    Raises:
        KitError: There is no such place, or a gain or the sleep is out of range.
    """
    if where not in PLACES:
        raise KitError(
            f"The line can be tried on {' or '.join(map(repr, PLACES))}, not on {where!r}.",
            hint='write where="wave".',
        )
    if not (0 <= kp <= _TOP_KP and 0 <= kd <= _TOP_KD and 1 <= round_ms <= _TOP_ROUND):
        raise KitError(
            f"Gains kp = {kp!r}, kd = {kd!r} with a sleep of {round_ms!r} ms cannot be tried.",
            hint=f"kp goes from 0 to {_TOP_KP}, kd from 0 to {_TOP_KD}, the sleep from 1 to "
            f"{_TOP_ROUND} ms.",
        )
    if not 0 <= printed <= MOST_PRINTED:
        raise KitError(
            f"{printed!r} characters in each round cannot be tried.",
            hint=f"printed goes from 0 to {MOST_PRINTED}.",
        )
    table, seconds = PLACES[where]
    counts = cross(serial).counts
    roles = ("left_ahead", "left_back", "right_ahead", "right_back")
    program = _PROGRAM.format(
        eyes=", ".join(str(PINS[f"eye_{k}"]) for k in range(4)),
        motors=", ".join(str(PINS[role]) for role in roles),
        white=[min(eye) for eye in counts], black=[max(eye) for eye in counts],
        law=f"{kp} if position > 0 else -{kp}" if on_off else f"{kp} * position + {kd} * rate",
        round_ms=int(round_ms), round_s=round_ms / 1000, effort=_EFFORT,
        talk=f'print("{"." * (printed - 2)}")' if printed else "pass",
    )  # fmt: skip
    start = None
    if where == "straight":
        x, y, heading = make_table(table).start
        back, port = -0.08, _ASIDE
        start = (
            x + back * math.cos(heading) - port * math.sin(heading),
            y + back * math.sin(heading) + port * math.cos(heading), heading,
        )  # fmt: skip
    return run_trial(
        program, table=table, serial=serial, seconds=seconds, start=start, whose=Whose.KIT
    )


def gain_figure(
    kp: float, kd: float = 0.0, round_ms: int = 40, where: str = "wave", serial: int = 7
) -> Figure:
    """Draw what a tug makes of some gains: its path and its distance from the line.

    Args and raises: as `steered`.

    Returns:
        The figure; its label tells it in words.
    """
    made = steered(kp, kd, round_ms, where, serial)
    title = _finding(kept(made)) if where == "straight" else ""
    drawn = along_figure([made], [f"KP {kp:g}, KD {kd:g}, {round_ms} ms"], title=title)
    if title:
        drawn.set_label(f"{drawn.get_label()} {title}.")
    return drawn


def _finding(way: Kept) -> str:
    """Tell whether the tug weaves at the end of the straight, and how."""
    wide, period = way.swing
    if way.lost:
        return f"The line was lost after {way.gone[-1]:.2f} m"
    if period and wide > _WEAVES:
        return f"At the end it weaves by {wide:.0f} mm from side to side, once in {period:.2f} s"
    return f"It does not weave at the end, {abs(way.off[-1]):.0f} mm off the line"


def laws_figure(
    on_off: float = 0.3, kp: float = 0.13, both: tuple[float, float] = (0.10, 0.002),
    serial: int = 7,
) -> Figure:  # fmt: skip
    """Draw three laws of steering on the same wave, one below the other.

    Args:
        on_off: Effort of the on/off steering.
        kp: Gain of the steering in proportion alone.
        both: Gains KP and KD of the one with the derivative.
        serial: The tug.
    """
    runs = [
        steered(on_off, serial=serial, on_off=True), steered(kp, serial=serial),
        steered(*both, serial=serial),
    ]  # fmt: skip
    return along_figure(runs, ["on and off", "proportional", "with derivative"])


def show_laws(
    on_off: float = 0.3, kp: float = 0.13, both: tuple[float, float] = (0.10, 0.002), *,
    serial: int | None = None,
) -> None:  # fmt: skip
    """Show `laws_figure` in the notebook; the tug is the learner's own if none is given."""
    from ..notebook import own_serial
    from .display import show_figure

    show_figure(laws_figure(on_off, kp, both, own_serial() if serial is None else serial))


def slide_gains(
    kp: float = 0.03, kd: float = 0.0, *, where: str = "wave", serial: int | None = None
) -> None:
    """Show sliders for both gains and the loop's sleep, with the picture that follows them.

    Args:
        kp: Where the first slider stands at first.
        kd: Where the second one stands.
        where: "wave" or "straight".
        serial: The tug; None for the learner's own.
    """
    from ..notebook import own_serial

    tug = own_serial() if serial is None else serial
    slide(
        lambda kp, kd, pause: gain_figure(kp, kd, pause, where, tug),
        Span("kp", "KP per mm", kp, 0.0, _TOP_KP, 0.005, 4),
        Span("kd", "KD per mm/s", kd, 0.0, _TOP_KD, 0.0001, 5),
        Span("pause", "sleep in ms", 40, 10, _TOP_ROUND, 5),
    )
