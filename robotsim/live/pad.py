"""Pad: a live tug in a notebook: the table from above, its numbers, and ways to steer it."""

from __future__ import annotations

import threading
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import anywidget
import traitlets

from ..errors import KitError
from ..radio.logbook import told
from ..recording import Event
from ..show.player import plan_script, style, table_data

if TYPE_CHECKING:
    from .desk import Live
    from .session import Look

__all__ = ["Pad", "look_now", "pad_script", "pad_style"]

_HERE = Path(__file__).parent
_EVERY_S = 0.1
_LINES = 60


@cache
def pad_script() -> str:
    """Give the pad's script as one module."""
    return plan_script() + (_HERE / "pad.js").read_text(encoding="utf-8")


def pad_style() -> str:
    """Give the pad's style."""
    return style() + (_HERE / "pad.css").read_text(encoding="utf-8")


class Pad(anywidget.AnyWidget):
    """The pad of one live tug.

    It follows the tug from a thread of its own, so the notebook stays free.  While another cell
    is at work the notebook hears no buttons: an order from the pad holds 0.6 s, so a tug that is
    steered from it stops then, too.

    Args:
        tug: The running tug.
    """

    _esm = pad_script()
    _css = pad_style()
    scene = traitlets.Dict().tag(sync=True)
    look = traitlets.Dict().tag(sync=True)
    lines = traitlets.List(traitlets.Unicode()).tag(sync=True)
    running = traitlets.Bool(True).tag(sync=True)

    def __init__(self, tug: Live) -> None:
        self._tug, self._seen = tug, 0
        super().__init__(scene=_scene(tug), look=look_now(tug.look))
        self.on_msg(self._heard)
        threading.Thread(target=self._follow, name="pad", daemon=True).start()

    def _heard(self, widget: Any, content: dict[str, Any], buffers: Any) -> None:
        """Do what the page asks for; whatever it sends goes the way of every order."""
        if content.get("stop"):
            self._tug.session.pace.stop()
        elif "order" in content:
            try:
                self._tug.order(str(content["order"]), qos=1 if content.get("sure") else 0)
            except KitError as fault:
                self._add(f"not sent: {fault.what}")

    def _follow(self) -> None:
        """Show how the tug stands, until it has stopped."""
        pause = threading.Event()
        while self._tug.running:
            self._update()
            pause.wait(_EVERY_S)
        self._update()
        self.running = False

    def _update(self) -> None:
        look = look_now(self._tug.look)
        if look != self.look:
            self.look = look
        happened = self._tug.happened
        new = [_line(event) for event in happened[self._seen :] if _matters(event)]
        self._seen = len(happened)
        if new:
            self._add(*new)

    def _add(self, *lines: str) -> None:
        self.lines = [*self.lines, *lines][-_LINES:]


def _matters(event: Event) -> bool:
    """Leave out a message's ways on the board's side: what went in or came out is told anyway."""
    return bool(told(event)) and not (event.kind == "message" and event.stage in ("taken", "said"))


def _line(event: Event) -> str:
    return f"{event.seconds:7.2f} s  {told(event)}"


def _scene(tug: Live) -> dict[str, Any]:
    session = tug.session
    where = f"at {tug.bridge.address}" if tug.bridge else "(no broker: this pad only)"
    words = f"Orders under {tug.order_topic}, reports under {tug.log_topic} {where}."
    return {**table_data(session.world.table), "title": f"{tug.name}, live: {session.program}",
            "words": words}  # fmt: skip


def look_now(look: Look) -> dict[str, Any]:
    """Give how a tug stands, rounded to what a screen can show."""
    return {
        "t": round(look.t, 1), "pose": [round(value, 4) for value in look.pose],
        "speed": round(look.speed, 3), "turn_rate": round(look.turn_rate, 3),
        "lamps": [list(colour) for colour in look.lamps], "arm": round(look.arm, 3),
        "ball": look.ball and [round(value, 4) for value in look.ball], "docked": look.docked,
        "volts": round(look.volts, 2), "link": look.link, "cut": look.cut,
    }  # fmt: skip
