"""Logbook: the radio of a recording as lines that can be read."""

from __future__ import annotations

from ..recording import Event, Recording

__all__ = ["logbook", "told"]

_WIDEST = 70
_STAGES = {
    "order": "office sends", "taken": "tug reads", "said": "tug sends", "told": "office reads",
}  # fmt: skip
_RADIO = {
    "joining": "tug joins network", "joined": "network joined:", "not joined": "not joined:",
    "lost": "network lost:", "left": "network left:", "connected": "broker connects",
    "subscribed": "broker subscribes", "refused": "broker refuses", "closed": "connection ends:",
    "will": "broker sends the will of", "too big": "too big, not passed on:", "broker": "broker is",
    "link": "link to the outside", "guard": "guard:", "order refused": "guard refuses the order:",
    "cut": "a cut", "not connected": "not connected:", "dropped": "broker drops",
}  # fmt: skip


def logbook(recording: Recording) -> str:
    """Give what the radio did, a line each: time in s, what, topic and payload.

    Args:
        recording: What to tell of.

    Returns:
        Lines such as `  4.012 s  office sends  harbour/tug-7/order  {"speed": 0}`.
    """
    lines = ((event.seconds, told(event)) for event in recording.of("radio", "message"))
    return "\n".join(f"{seconds:7.3f} s  {words}" for seconds, words in lines if words)


def told(event: Event) -> str:
    """Tell one event of the radio in a line, "" if it is not worth one.

    Topics, client ids and payloads are strangers': what moves a cursor, breaks a line or turns
    letters round is spelt out.
    """
    line = _message(event) if event.kind == "message" else _radio(event)
    return "".join(map(_spelt, line))


def _spelt(sign: str) -> str:
    return sign if sign.isprintable() else sign.encode("unicode_escape").decode("ascii")


def _message(event: Event) -> str:
    """Tell a message; what the broker gives the office of its own is left out."""
    if event.stage not in _STAGES or (event.stage == "told" and event.topic.endswith("/order")):
        return ""
    data = bytes.fromhex(event.hex)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        text = f"bytes {data[:20].hex(' ')}"
    text = text.replace("\n", " ")
    if len(text) > _WIDEST:
        text = f"{text[:_WIDEST]} ... {event.size} bytes"
    marks = "".join(f" ({name})" for name in ("retain", "duplicate") if getattr(event, name))
    return f"{_STAGES[event.stage]:13} {event.topic}  {text}{marks}"


def _radio(event: Event) -> str:
    return f"{_RADIO[event.what]} {event.detail}".rstrip() if event.what in _RADIO else ""
