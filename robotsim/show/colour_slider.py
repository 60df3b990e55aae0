"""Colour slider: one lamp, its three numbers, and what they become on the wire.

The picture is drawn by `colour_figure`; the sliders only choose what is drawn.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Rectangle

from ..colour_names import colour_name
from ..errors import UnknownNameError
from ..parts.lamps import Lamps, Waveform
from ..parts.quirks import Quirks
from .colours import INK, NIGHT, OKABE_ITO, QUIET, RULE, hexed, lamp_hex
from .style import SIZE, SMALL, TITLE, clean, new_figure, styled

__all__ = ["ORDERS", "Wire", "colour_figure", "slide_colour"]

ORDERS = ("GRB", "RGB")
"""Orders in which a driver may send, and a chip may take, the three bytes of a lamp."""

_NAMES = {"R": "red", "G": "green", "B": "blue"}
_WIDTH, _HEIGHT = 7.6, 3.0
_FRAME_US, _BIT_US = 30.0, 1.25


@dataclass(frozen=True)
class Wire:
    """What becomes of a colour on its way to a lamp.

    Attributes:
        asked: The colour that the program asks for: red, green, blue, 0 to 255 each.
        sends: The order in which the driver sends the bytes.
        takes: The order in which the lamp's chip takes them.
    """

    asked: tuple[int, int, int]
    sends: str = "GRB"
    takes: str = "GRB"

    def __post_init__(self) -> None:
        """Refuse an order that is none.

        Raises:
            UnknownNameError: The order is not one of `ORDERS`.
        """
        for order in (self.sends, self.takes):
            if order not in ORDERS:
                raise UnknownNameError("colour order", order, ORDERS)

    @property
    def data(self) -> bytes:
        """The three bytes in the order of the wire."""
        return bytes(self.asked["RGB".index(letter)] for letter in self.sends)

    @property
    def waveform(self) -> Waveform:
        """The levels on the wire: (level, ns)."""
        return Lamps.waveform(self.data, 1)

    @property
    def shown(self) -> tuple[int, int, int]:
        """The colour that the lamp shows."""
        return self._lamps().shown[0]

    @property
    def milliamps(self) -> float:
        """What this one lamp draws, mA."""
        dark = Lamps(Quirks(0, lamp_order=self.takes), random.Random(0)).amps
        return 1000 * (self._lamps().amps - dark + dark / 5)

    def _lamps(self) -> Lamps:
        lamps = Lamps(Quirks(0, lamp_order=self.takes), random.Random(0))
        lamps.frame(self.data, 1)
        return lamps

    @property
    def words(self) -> str:
        """All of it in words, for a reader who does not see the picture."""
        sent = " ".join(f"{byte:02X}" for byte in self.data)
        return (
            f"Asked for {self.asked}. The driver sends {self.sends}: bytes {sent}. The chip takes "
            f"{self.takes} and shows {colour_name(self.shown)} {self.shown}, at "
            f"{self.milliamps:.1f} mA."
        )


def colour_figure(wire: Wire) -> Figure:
    """Draw a lamp, the numbers behind it, its bytes on the wire and its current.

    Args:
        wire: What to draw.

    Returns:
        A figure, 7.6 inches wide, whose label tells it in words.
    """
    with styled():
        drawn = new_figure(_WIDTH, _HEIGHT)
        _head(drawn, wire)
        _glow(_axes(drawn, 0.15, 0.62, 2.1, 2.1), wire)
        _numbers(_axes(drawn, 2.45, 0.62, 4.95, 0.78), wire)
        _pulses(_axes(drawn, 2.45, 1.55, 4.95, 0.92), wire)
        drawn.set_label(wire.words)
        return drawn


def _axes(drawn: Figure, left: float, top: float, wide: float, high: float) -> Axes:
    """Give bare axes at a place in inches from the top left."""
    box = (left / _WIDTH, 1 - (top + high) / _HEIGHT, wide / _WIDTH, high / _HEIGHT)
    axes = drawn.add_axes(box)
    clean(axes)
    return axes


def _head(drawn: Figure, wire: Wire) -> None:
    name = colour_name(wire.shown)
    drawn.text(0.15 / _WIDTH, 1 - 0.27 / _HEIGHT, f"The lamp shows {name} {wire.shown}",
               fontsize=TITLE, fontweight="bold", color=INK, gid="title")  # fmt: skip
    told = f"asked for {wire.asked}; the driver sends {wire.sends}, the chip takes {wire.takes}"
    drawn.text(0.15 / _WIDTH, 1 - 0.48 / _HEIGHT, told, fontsize=SIZE, color=QUIET, gid="subtitle")


def _glow(axes: Axes, wire: Wire) -> None:
    """Draw the lamp in the dark, a little of its light around it."""
    axes.set_xlim(-1, 1)
    axes.set_ylim(-1, 1)
    axes.add_artist(Rectangle((-1, -1), 2, 2, facecolor=NIGHT))
    halo = lamp_hex(wire.shown)
    for k in range(12, 0, -1):
        axes.add_artist(Circle((0, 0), 0.36 + 0.045 * k, facecolor=halo, alpha=0.045, linewidth=0))
    axes.add_artist(
        Circle((0, 0), 0.36, facecolor=halo, edgecolor=hexed((110, 118, 129)), linewidth=1.0)
    )
    axes.text(0, -0.9, colour_name(wire.shown), color="#FFFFFF", ha="center", va="bottom",
              fontsize=SIZE)  # fmt: skip


def _numbers(axes: Axes, wire: Wire) -> None:
    """Draw what each of the three diodes gets, as a share of the time that it is lit."""
    axes.set_xlim(0, 1)
    axes.set_ylim(3, 0)
    colours = (OKABE_ITO["vermilion"], OKABE_ITO["green"], OKABE_ITO["blue"])
    for row, (name, value, colour) in enumerate(
        zip(_NAMES.values(), wire.shown, colours, strict=True)
    ):
        middle = row + 0.5
        axes.text(0.0, middle, name, va="center", fontsize=SIZE)
        axes.add_artist(Rectangle((0.1, row + 0.2), 0.36, 0.6, facecolor=RULE))
        axes.add_artist(Rectangle((0.1, row + 0.2), 0.36 * value / 255, 0.6, facecolor=colour))
        axes.text(0.48, middle, f"{value}: lit {value / 2.55:.0f} % of the time", va="center",
                  fontsize=SMALL)  # fmt: skip
    axes.text(0.99, 1.5, f"{wire.milliamps:.1f} mA", va="center", ha="right", fontsize=TITLE,
              fontweight="bold", gid="current")  # fmt: skip


def _pulses(axes: Axes, wire: Wire) -> None:
    """Draw the 24 bits as they go over the wire, and what the chip takes each byte for."""
    axes.set_xlim(-0.3, _FRAME_US + 0.3)
    axes.set_ylim(-1.15, 2.3)
    times, levels = _corners(wire.waveform)
    axes.plot(times, levels, color=INK, linewidth=0.9, gid="wire")
    for k, byte in enumerate(wire.data):
        begin, middle = 10.0 * k, 10.0 * k + 5.0
        taken = _NAMES[wire.takes[k]]
        axes.text(middle, 1.55, f"{byte} = 0x{byte:02X} is {taken}", ha="center",
                  fontsize=SMALL)  # fmt: skip
        for place, bit in enumerate(f"{byte:08b}"):
            at = begin + _BIT_US * (place + 0.5)
            axes.text(at, -0.62, bit, ha="center", fontsize=SMALL, color=QUIET)
        axes.plot([begin + 0.2, begin + 9.6], [1.4, 1.4], color=QUIET, linewidth=0.6)
    axes.text(0.0, -1.12, "0 µs", fontsize=SMALL, color=QUIET)
    axes.text(_FRAME_US, -1.12, "30 µs", fontsize=SMALL, color=QUIET, ha="right")
    axes.text(15.0, -1.12, "a long pulse is a 1, a short one a 0", fontsize=SMALL, color=QUIET,
              ha="center")  # fmt: skip


def _corners(waveform: Sequence[tuple[int, int]]) -> tuple[list[float], list[float]]:
    """Give the corners (µs, level) of a waveform, without the pause at its end."""
    times, levels, now = [0.0], [0.0], 0.0
    for level, duration in waveform:
        times += [now, min(now + duration / 1000, _FRAME_US)]
        levels += [float(level)] * 2
        now += duration / 1000
    return times, levels


def slide_colour(red: int = 120, green: int = 0, blue: int = 0, *, takes: str = "GRB") -> None:
    """Show a lamp and its wire in the notebook, with sliders below it.

    The picture is an output of its own, which the sliders replace: it stays in the notebook, and
    can be read where no kernel runs and no slider is shown.

    Args:
        red: The first number to begin with, 0 to 255.
        green: The second.
        blue: The third.
        takes: The order in which the chip takes the bytes, "GRB" or "RGB".
    """
    from .sliding import Choice, Span, slide

    first = Wire((red, green, blue), takes=takes)  # asks whether all of it can be

    def draw(red: int, green: int, blue: int, sends: str, takes: str) -> Figure:
        return colour_figure(Wire((red, green, blue), sends, takes))

    slide(
        draw,
        *(Span(name, name, value, 0, 255, 1)
          for name, value in zip(_NAMES.values(), first.asked, strict=True)),
        Choice("sends", "np sends", first.sends, ORDERS),
        Choice("takes", "chip takes", first.takes, ORDERS),
    )  # fmt: skip
