"""Print slider: what a line printed in each round of a loop costs a tug that follows the line.

Each position of the slider runs a real program on the simulated tug, the one of the gain slider
with a `print` in its loop.  A character takes its time on the way out, and nobody steers meanwhile.
"""

from __future__ import annotations

import statistics

from matplotlib.figure import Figure

from ..recording import Recording
from ..wiring import PINS
from .along import along_figure, kept
from .gain_slider import MOST_PRINTED, steered
from .sliding import Span, slide

__all__ = ["print_figure", "printing", "round_of", "slide_print"]

_KP, _KD, _SLEEP_MS = 0.10, 0.002, 10
_STEP = 20


def printing(characters: int, serial: int = 7) -> Recording:
    """Let a tug follow the wave and print so many characters in each round.

    Args:
        characters: How many, the line's end included; 0 for no print at all.
        serial: The tug.

    Raises:
        KitError: So many cannot be tried.
    """
    return steered(_KP, _KD, _SLEEP_MS, serial=serial, printed=characters)


def round_of(made: Recording) -> tuple[float, float]:
    """Give how long a round takes, in ms, and for how much of it the processor is busy, 0 to 1."""
    looks = [event.seconds for event in made.of("adc", pin=PINS["eye_0"])]
    busy = made.tracks["busy"][2:]
    return 1000 * (looks[-1] - looks[0]) / (len(looks) - 1), statistics.fmean(busy)


def print_figure(characters: int, serial: int = 7) -> Figure:
    """Draw how a tug keeps to the line that prints so many characters in each round.

    Args and raises: as `printing`.

    Returns:
        The figure; its label tells it in words.
    """
    made = printing(characters, serial)
    round_ms, busy = round_of(made)
    title = (
        f"A round takes {round_ms:.0f} ms, {_SLEEP_MS} of it sleep: {1000 / round_ms:.0f} rounds a "
        f"second, the processor busy for {100 * busy:.0f} %"
    )
    if kept(made).lost:
        title += "; the line was lost"
    told = f"{characters} characters" if characters else "no print"
    drawn = along_figure([made], [told], title=title)
    drawn.set_label(f"{drawn.get_label()} {title}.")
    return drawn


def slide_print(characters: int = 0, *, serial: int | None = None) -> None:
    """Show a slider for what is printed in each round, with the picture that follows it.

    Args:
        characters: Where the slider stands at first.
        serial: The tug; None for the learner's own.
    """
    from ..notebook import own_serial

    tug = own_serial() if serial is None else serial
    slide(
        lambda characters: print_figure(characters, tug),
        Span("characters", "characters printed", characters, 0, MOST_PRINTED, _STEP),
    )
