"""Hearing: what a recording says of the radio: orders, their way, and what came of them."""

from __future__ import annotations

import bisect
from collections.abc import Iterator
from typing import NamedTuple

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
    "Said",
    "lamps_before",
    "link_times",
    "moved",
    "orders",
    "radio",
    "said",
    "stirred",
    "subscriptions",
    "taken",
    "told",
    "wheels",
]


class Heard(NamedTuple):
    """An order that the office sent to the tug.

    Attributes:
        sent: When the office sent it, in s.
        at: When it arrived at the board, in s; None if it never did.
        payload: Its bytes (the first 2048).
        order: What it asks, or None if it must be refused.
        why: Why it must be refused, or "".
    """

    sent: float
    at: float | None
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


class Said(NamedTuple):
    """Something that came to the office under the tug's log topic.

    Attributes:
        at: When, in s.
        payload: Its bytes.
        report: The report, or None if it is none.
        why: Why it is none, or "".
        qos: How it was published.
    """

    at: float
    payload: bytes
    report: Report | None
    why: str
    qos: int


def orders(recording: Recording) -> list[Heard]:
    """Give the orders that the office sent to the tug, in order."""
    topic = order_topic(recording.serial)
    arrived: dict[str, list[float]] = {}
    for event in recording.of("message"):
        if event.stage == "arrived" and event.topic == topic:
            arrived.setdefault(event.hex, []).append(event.seconds)
    found = []
    for event in recording.of("message"):
        if event.stage != "order" or event.topic != topic:
            continue
        times = arrived.get(event.hex, [])
        k = bisect.bisect_left(times, event.seconds)
        payload = bytes.fromhex(event.hex)
        order, why = _read(payload)
        found.append(
            Heard(event.seconds, times[k] if k < len(times) else None, payload, order, why)
        )
    return found


def _read(payload: bytes) -> tuple[Manoeuvre | None, str]:
    try:
        return read_order(payload), ""
    except BadOrder as fault:
        return None, str(fault)


def said(recording: Recording) -> list[Said]:
    """Give what came to the office from the tug itself, not by its will, in order."""
    wills = {e.time_ns for e in recording.of("radio") if e.what == "will"}
    return [s for s in told(recording) if round(s.at * 1e9) not in wills]


def told(recording: Recording) -> list[Said]:
    """Give all that came to the office under the tug's log topic, in order."""
    topic = log_topic(recording.serial)
    found = []
    for event in recording.of("message"):
        if event.stage != "told" or event.topic != topic:
            continue
        payload = bytes.fromhex(event.hex)
        try:
            report, why = read_report(payload), ""
        except BadOrder as fault:
            report, why = None, str(fault)
        found.append(Said(event.seconds, payload, report, why, event.qos))
    return found


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


def lamps_before(recording: Recording, time_s: float) -> tuple[tuple[int, int, int], ...]:
    """Give the lamps' colours just before a time in s."""
    return recording.lamps_at(time_s - 1e-6)


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


def link_times(recording: Recording) -> tuple[list[float], list[float]]:
    """Give when the tug had a connection with the broker, and when it had lost it, in s."""
    up = [at for at, _ in radio(recording, "connected")]
    down = [at for at, _ in radio(recording, "closed", "lost")]
    return up, down
