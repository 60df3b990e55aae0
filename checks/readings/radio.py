"""Hearing: what a recording says of the radio: orders, their way, and what came of them."""

from __future__ import annotations

import bisect
import math
from collections.abc import Callable, Iterator
from typing import NamedTuple, TypeVar

from robotsim import Recording
from robotsim.radio import (
    BadOrder,
    Manoeuvre,
    Report,
    log_topic,
    order_topic,
    read_order,
    read_report,
)
from robotsim.radio.topics import matches

__all__ = [
    "Heard",
    "Published",
    "moved",
    "orders",
    "published",
    "radio",
    "stirred",
    "subscriptions",
    "taken",
    "wheels",
    "wills",
]


_Content = TypeVar("_Content", Manoeuvre, Report)


class Heard(NamedTuple):
    """An order that the office sent to the tug.

    Attributes:
        sent: When the office sent it, in s.
        at: When it arrived at the board, in s; None if it never did.
        taken: When the program took it from its radio, in s; None if it never did.
        payload: Its bytes (the first 2048).
        order: What it asks, or None if it must be refused.
        why: Why it must be refused, or "".
    """

    sent: float
    at: float | None
    taken: float | None
    payload: bytes
    order: Manoeuvre | None
    why: str

    @property
    def came(self) -> bool:
        """Whether it arrived: what was never heard was not obeyed, whatever the tug did."""
        return self.at is not None

    @property
    def since(self) -> float:
        """From when on the tug may know of it, in s."""
        return self.sent if self.at is None else self.at

    @property
    def waited(self) -> float:
        """How long it lay on the board before the program took it, in s; endless if it never did.

        Without an arrival it waited for nobody: 0.
        """
        if self.at is None:
            return 0.0
        return math.inf if self.taken is None else self.taken - self.at

    @property
    def text(self) -> str:
        """Its payload, short enough for a card."""
        return repr(self.payload.decode("utf-8", "replace")[:50])


class Published(NamedTuple):
    """Something that came to the office under the tug's log topic.

    Attributes:
        at: When it came, in s.
        sent: When it left the tug, in s; that of its coming where the tug did not send it itself.
        payload: Its bytes.
        report: The report, or None if it is none.
        why: Why it is none, or "".
        qos: How it was published.
    """

    at: float
    sent: float
    payload: bytes
    report: Report | None
    why: str
    qos: int


def orders(recording: Recording) -> list[Heard]:
    """Give the orders that the office sent to the tug, in order."""
    topic = order_topic(recording.serial)
    arrived, took = _times(recording, "arrived", topic), _times(recording, "taken", topic)
    found = []
    for event in recording.of("message"):
        if event.stage == "order" and event.topic == topic:
            at = _after(arrived.get(event.hex, []), event.seconds)
            taken_at = None if at is None else _after(took.get(event.hex, []), at)
            payload = bytes.fromhex(event.hex)
            found.append(Heard(event.seconds, at, taken_at, payload, *_read(payload, read_order)))
    return found


def published(recording: Recording) -> list[Published]:
    """Give what came to the office from the tug itself, not by its will, in order."""
    return [one for one, by_will in _log(recording) if not by_will]


def wills(recording: Recording) -> list[Published]:
    """Give what the broker told the office in the tug's name, in order."""
    return [one for one, by_will in _log(recording) if by_will]


def _log(recording: Recording) -> Iterator[tuple[Published, bool]]:
    """Go through what came under the tug's log topic, each with whether it was a will."""
    topic = log_topic(recording.serial)
    by_will = {event.time_ns for event in recording.of("radio") if event.what == "will"}
    sent = _times(recording, "said", topic)
    for event in recording.of("message"):
        if event.stage == "told" and event.topic == topic:
            payload = bytes.fromhex(event.hex)
            before = [at for at in sent.get(event.hex, []) if at <= event.seconds]
            left = before[-1] if before else event.seconds
            report, why = _read(payload, read_report)
            yield (
                Published(event.seconds, left, payload, report, why, event.qos),
                event.time_ns in by_will,
            )


def _times(recording: Recording, stage: str, topic: str) -> dict[str, list[float]]:
    """Give when messages of a topic came to a stage of their way, by their payload."""
    found: dict[str, list[float]] = {}
    for event in recording.of("message"):
        if event.stage == stage and event.topic == topic:
            found.setdefault(event.hex, []).append(event.seconds)
    return found


def _after(times: list[float], since: float) -> float | None:
    k = bisect.bisect_left(times, since)
    return times[k] if k < len(times) else None


def _read(payload: bytes, reader: Callable[[bytes], _Content]) -> tuple[_Content | None, str]:
    try:
        return reader(payload), ""
    except BadOrder as fault:
        return None, str(fault)


def radio(recording: Recording, *whats: str) -> Iterator[tuple[float, str]]:
    """Go through what the network and the broker did: when in s, and the detail."""
    for event in recording.of("radio"):
        if event.what in whats:
            yield event.seconds, event.detail


def subscriptions(recording: Recording) -> list[tuple[float, bool]]:
    """Give when the tug subscribed, and whether to a filter that its orders match."""
    topic = order_topic(recording.serial)
    return [
        (at, matches(detail.split(" ", 1)[1], topic))
        for at, detail in radio(recording, "subscribed")
    ]


def taken(recording: Recording) -> int:
    """Give how many messages the program took from its radio."""
    return sum(event.stage == "taken" for event in recording.of("message"))


def wheels(recording: Recording, begin: float, end: float) -> tuple[float, float]:
    """Give how far the left and the right wheel rolled in some time, in m (astern < 0)."""
    times = recording.tracks["t"]
    first, last = bisect.bisect_left(times, begin), bisect.bisect_right(times, end)
    step = times[1] - times[0]
    left, right = (sum(recording.tracks[side][first:last]) * step for side in ("left", "right"))
    return left, right


def moved(recording: Recording, begin: float, end: float) -> float:
    """Give how far the tug moved along its heading from one time to another, in m (astern < 0)."""
    return sum(wheels(recording, begin, end)) / 2


def stirred(recording: Recording, begin: float, end: float) -> float:
    """Give how far the wheels rolled, ahead or astern, in the mean of the two, in m."""
    times = recording.tracks["t"]
    first, last = bisect.bisect_left(times, begin), bisect.bisect_right(times, end)
    left, right = recording.tracks["left"], recording.tracks["right"]
    step = times[1] - times[0]
    return sum(abs(left[k]) + abs(right[k]) for k in range(first, last)) / 2 * step
