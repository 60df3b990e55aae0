"""Silence slider: a tug's link is cut; when does the office learn it, by keep-alive and ping?

The times are measured, not drawn: a program with that keep-alive and those pings runs on our
radio.  Where no sliders can be shown, the picture for the first settings stands alone.
"""

from __future__ import annotations

import functools
from typing import NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..errors import KitError
from ..origin import Whose
from ..radio import Airwaves
from ..trial import run_trial
from .colours import INK, OKABE_ITO, PAPER, RULE, readable
from .compose import head
from .sliding import Span, slide
from .style import SIZE, SMALL, new_figure, styled

__all__ = ["CUT_S", "Silence", "keep_silent", "silence_figure", "slide_silence"]

CUT_S, _END_S = 12.0, 46.0
_LONGEST = 20
_THERE, _GONE = OKABE_ITO["blue"], OKABE_ITO["vermilion"]
_PROGRAM = """
import network, time
from umqtt.simple import MQTTClient
wlan = network.WLAN()
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep_ms(50)
client = MQTTClient("tug", "office", keepalive={keep_alive})
client.set_last_will("harbour/tug/log", "gone")
client.connect()
while True:
    time.sleep({ping})
    client.ping()
"""


class Silence(NamedTuple):
    """What came of one setting; times in s.

    Attributes:
        joined: When the broker had the tug's connection.
        pings: When pings came to the broker.
        gone: When the broker took the tug for gone, None if it never did.
    """

    joined: float
    pings: tuple[float, ...]
    gone: float | None


@functools.lru_cache(maxsize=128)
def keep_silent(keep_alive: int, ping: int) -> Silence:
    """Let a tug ping every so many s with a keep-alive in s, and cut its link for good."""
    made = run_trial(
        _PROGRAM.format(keep_alive=keep_alive, ping=ping), seconds=_END_S,
        air=Airwaves(cuts=((CUT_S, _END_S),)), whose=Whose.KIT,
    )  # fmt: skip
    told = {what: [e.seconds for e in made.of("radio") if e.what == what]
            for what in ("connected", "ping", "closed")}  # fmt: skip
    return Silence(told["connected"][0], tuple(told["ping"]), min(told["closed"], default=None))


def _words(keep_alive: int, ping: int, seen: Silence) -> tuple[str, str]:
    """Give the picture's title, and the rest in a sentence."""
    pings = f"a ping every {ping} s; {len(seen.pings)} came through"
    if not keep_alive:
        return "Without a keep-alive the office never learns that the tug is gone", pings
    if seen.gone is None:
        return f"Keep-alive {keep_alive} s: not known by the end", pings
    if seen.gone < CUT_S:
        return (
            f"Pings too rare: the broker ends a connection that was well, at {seen.gone:.1f} s",
            pings,
        )
    after = seen.gone - CUT_S
    return f"Keep-alive {keep_alive} s: the office learns {after:.1f} s after the cut", pings


def silence_figure(keep_alive: int = 4, ping: int = 2) -> Figure:
    """Draw pings, the cut, and what the broker takes the tug for.

    Args:
        keep_alive: In s, 0 to 20; 0 for none.
        ping: From one ping to the next, in s, 1 to 20.

    Returns:
        The figure; its label tells it in words.

    Raises:
        KitError: A setting is beyond its limits.
    """
    if not 0 <= keep_alive <= _LONGEST or not 1 <= ping <= _LONGEST:
        raise KitError(
            f"Keep-alive and ping are seconds up to {_LONGEST}, not {keep_alive!r}, {ping!r}.",
            hint="write silence_figure(4, 2).",
        )
    seen = keep_silent(keep_alive, ping)
    title, words = _words(keep_alive, ping, seen)
    with styled():
        drawn = new_figure(10.0, 2.9)
        head(drawn, title, f"{words}; the link is cut at {CUT_S:.0f} s and stays so")
        drawn.set_label(f"{title}. {words}. The link is cut at {CUT_S:.0f} s.")
        axes = drawn.add_axes((0.16, 0.19, 0.81, 0.50), label="silence")
        _draw(axes, seen)
        return drawn


def _draw(axes: Axes, seen: Silence) -> None:
    axes.set_xlim(0, _END_S)
    axes.set_ylim(-0.6, 1.6)
    axes.grid(True, axis="x", color=RULE, linewidth=0.6)
    axes.axvspan(CUT_S, _END_S, facecolor=PAPER, edgecolor=RULE, hatch="//", linewidth=0, gid="cut")
    axes.plot(seen.pings, [1] * len(seen.pings), linestyle="none", marker="o", markersize=5,
              color=_THERE, gid="pings")  # fmt: skip
    end = _END_S if seen.gone is None else seen.gone
    for begin, until, colour, hatch, word in (
        (seen.joined, end, _THERE, "", "there"),
        (end, _END_S, _GONE, "..", "gone: the will is out"),
    ):  # fmt: skip
        if until - begin < 0.1:
            continue
        axes.barh(0, until - begin, 0.5, begin, facecolor=PAPER, edgecolor=colour, hatch=hatch,
                  linewidth=1.4, gid=word)  # fmt: skip
        if until - begin > (3 if word == "there" else 9):
            axes.text((begin + until) / 2, 0, word, ha="center", va="center", fontsize=SMALL,
                      color=readable(colour), fontweight="bold",
                      bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1})  # fmt: skip
    axes.axvline(CUT_S, color=INK, linewidth=1.4, linestyle=(0, (6, 2)), gid="cut at")
    axes.set_yticks([1, 0], ["pings that\nthe broker hears", "the broker\ntakes the tug for"])
    axes.tick_params(axis="y", length=0, labelsize=SIZE)
    axes.set_xlabel("time in s")


def slide_silence(keep_alive: int = 4, ping: int = 2) -> None:
    """Show sliders for the keep-alive and the pings, with the picture that follows them.

    Args:
        keep_alive: Where its slider stands at first, in s.
        ping: Where the other one stands, in s.
    """
    slide(
        silence_figure,
        Span("keep_alive", "keep-alive in s", keep_alive, 0, _LONGEST, 1),
        Span("ping", "a ping every ... s", ping, 1, _LONGEST, 1),
    )
