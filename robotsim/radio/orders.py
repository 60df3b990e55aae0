"""Orders: what the payloads of our topics may hold, and why anything else is refused.

A message is data: it is read as JSON and checked, never evaluated.  ORDERS.md beside this file
writes the rules down.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from .airwaves import tug_name

__all__ = [
    "DEEDS",
    "LONGEST_ORDER",
    "BadOrder",
    "Manoeuvre",
    "Report",
    "log_topic",
    "order_topic",
    "read_order",
    "read_report",
]

LONGEST_ORDER = 512
"""Most bytes of an order or a report."""
_SPEED = 0.5
_RADII = (0.05, 100.0)
_SECONDS = 60.0
_NUMBER = 1_000_000_000
DEEDS = ("started", "done", "refused", "stopped", "joined", "gone")
"""What a report may say that the tug did."""

Colour = tuple[int, int, int]


class BadOrder(ValueError):
    """A payload that is refused; its text is the reason."""


@dataclass(frozen=True)
class Manoeuvre:
    """An order that may be carried out.

    Attributes:
        speed: In m/s, ahead positive; None: the wheels are not spoken of.
        radius: Of the way, in m: positive to port (left), negative to starboard; None: straight.
        seconds: How long, in s; after that the tug stops.
        lamps: The lamps' colours, one for all or five; None: they stay as they are.
        number: The order's number, or None.
    """

    speed: float | None = None
    radius: float | None = None
    seconds: float = 0.0
    lamps: tuple[Colour, ...] | None = None
    number: int | None = None


@dataclass(frozen=True)
class Report:
    """What a tug says that it did.

    Attributes:
        did: One of `DEEDS`.
        number: The order's number, or None.
        why: The reason, or "".
    """

    did: str
    number: int | None = None
    why: str = ""


def order_topic(serial: int) -> str:
    """Give the topic on which a tug takes orders."""
    return f"harbour/{tug_name(serial)}/order"


def log_topic(serial: int) -> str:
    """Give the topic on which a tug reports."""
    return f"harbour/{tug_name(serial)}/log"


def read_order(payload: bytes) -> Manoeuvre:
    """Read an order.

    Raises:
        BadOrder: It is none; the text says why.
    """
    given = _object(payload, {"speed", "radius", "seconds", "lamps", "number"})
    if "speed" not in given and "lamps" not in given:
        raise BadOrder("it has neither speed nor lamps")
    speed = _within(given, "speed", -_SPEED, _SPEED)
    if speed is None and ("radius" in given or "seconds" in given):
        raise BadOrder("radius and seconds go with a speed")
    seconds = _within(given, "seconds", 0.0, _SECONDS) or 0.0
    if speed and not seconds:
        raise BadOrder("a speed needs seconds above 0: no order moves a tug for ever")
    lamps = _lamps(given["lamps"]) if "lamps" in given else None
    return Manoeuvre(speed, _radius(given), seconds, lamps, _count(given))


def read_report(payload: bytes) -> Report:
    """Read a report.

    Raises:
        BadOrder: It is none; the text says why.
    """
    given = _object(payload, {"did", "number", "why"})
    did, why = given.get("did"), given.get("why", "")
    if did not in DEEDS:
        raise BadOrder(f"did is one of {', '.join(DEEDS)}")
    if not isinstance(why, str):
        raise BadOrder("why is a text")
    return Report(did, _count(given), why)


def _object(payload: bytes, known: set[str]) -> dict[str, Any]:
    """Read a payload as a JSON object with known names, each once."""
    if len(payload) > LONGEST_ORDER:
        raise BadOrder(f"it has {len(payload)} bytes; at most {LONGEST_ORDER} are taken")
    try:
        text = payload.decode("utf-8")
    except UnicodeDecodeError as fault:
        raise BadOrder("it is not UTF-8") from fault
    try:
        given = json.loads(text, parse_constant=_no_constant, object_pairs_hook=_once)
    except BadOrder:
        raise
    except (ValueError, RecursionError) as fault:
        raise BadOrder("it is not JSON") from fault
    if not isinstance(given, Mapping):
        raise BadOrder("it is JSON, but no object in braces")
    unknown = sorted(given.keys() - known)
    if unknown:
        raise BadOrder(f"it has an unknown name: {unknown[0][:20]!r}")
    return dict(given)


def _no_constant(word: str) -> None:
    raise BadOrder(f"{word} is not JSON")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    given = dict(pairs)
    if len(given) < len(pairs):
        raise BadOrder("a name stands in it twice")
    return given


def _within(given: Mapping[str, Any], name: str, low: float, high: float) -> float | None:
    """Give a number within its limits, None if it is not there."""
    if name not in given:
        return None
    value = given[name]
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise BadOrder(f"{name} is a number")
    if not low <= value <= high or not math.isfinite(value):
        raise BadOrder(f"{name} is from {low:g} to {high:g}")
    return float(value)


def _radius(given: Mapping[str, Any]) -> float | None:
    low, high = _RADII
    radius = _within(given, "radius", -high, high)
    if radius is not None and abs(radius) < low:
        raise BadOrder(f"radius is at least {low:g} to either side")
    return radius


def _count(given: Mapping[str, Any]) -> int | None:
    number = given.get("number")
    if "number" not in given:
        return None
    if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number <= _NUMBER:
        raise BadOrder(f"number is a whole number from 0 to {_NUMBER}")
    return number


def _lamps(value: Any) -> tuple[Colour, ...]:
    if not isinstance(value, list):
        raise BadOrder("lamps is one colour, or five")
    colours = value if value and isinstance(value[0], list) else [value]
    if len(colours) not in (1, 5):
        raise BadOrder("lamps is one colour, or five")
    return tuple(_colour(colour) for colour in colours)


def _colour(value: Any) -> Colour:
    if not isinstance(value, list) or len(value) != 3 or not all(map(_is_byte, value)):
        raise BadOrder("a colour is three whole numbers from 0 to 255")
    return value[0], value[1], value[2]


def _is_byte(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= 255
