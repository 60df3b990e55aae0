"""What a harbour run's reports are to be, and which of them came too soon."""

from __future__ import annotations

from collections.abc import Callable

from robotsim import Recording

from ...readings.line import course
from ...readings.radio import orders
from .evidence import ROLLS, Step, arm_home, goes, speed_at, steps, struck

__all__ = [
    "Early", "asked_steps", "first_early", "in_order", "leg_early", "ready_early", "run_early",
    "stopped_too_soon", "true_steps",
]  # fmt: skip

Early = Callable[[Recording, Step], str | None]
"""Tells in words that a report said done before it was; None if it did not."""

_SLACK_S = 0.25
"""A report may come so much before its order's time is over: clocks are read in rounds."""


def asked_steps(recording: Recording, over: str = "done") -> list[tuple[str, int | None]]:
    """Give the reports that the orders ask for, in order: what, and which number.

    Args:
        recording: The recording.
        over: What is reported when an order's time is over and another follows; the last is done.
    """
    asked: list[tuple[str, int | None]] = []
    going: int | None = None
    for heard in orders(recording):
        if heard.order is None:
            continue
        number = heard.order.number
        if heard.order.speed:
            if going is not None:
                asked.append((over, going))
            asked.append(("started", number))
            going = number
        else:
            asked.append(("stopped", number))
            going = None
    return asked if going is None else [*asked, ("done", going)]


def in_order(asked: list[tuple[str, int | None]], given: list[Step]) -> int:
    """Give how many of the reports that are asked for were given, one behind the other."""
    told = [(step.did, step.number) for step in given]
    found, begin = 0, 0
    for wanted in asked:
        if wanted in told[begin:]:
            begin = told.index(wanted, begin) + 1
            found += 1
    return found


def ready_early(recording: Recording, step: Step) -> str | None:
    """Tell of a done before the order's seconds were over."""
    for heard in goes(recording):
        assert heard.order
        gone = step.at - heard.since
        if step.did == "done" and step.number == heard.order.number:
            if 0.0 <= gone < heard.order.seconds - _SLACK_S:
                return (
                    f"done was reported {gone:.1f} s after the order of {heard.sent:.1f} s, which "
                    f"gave {heard.order.seconds:g} s"
                )
    return None


def leg_early(recording: Recording, step: Step) -> str | None:
    """Tell of a done before the tug stood, or before it had gone half of the way."""
    way = course(recording)
    if step.did != "done":
        return None
    gone = max(far for t, far in zip(way.t, way.gone, strict=True) if t <= step.at)
    if gone < way.goal / 2:
        return f"done was reported at {step.at:.1f} s, {gone:.2f} m along the line"
    if speed_at(recording, step.at) > ROLLS:
        return f"done was reported at {step.at:.2f} s, while the wheels were still turning"
    return None


def run_early(recording: Recording, step: Step) -> str | None:
    """Tell of a done before the arm had struck and was back in the middle."""
    hit = struck(recording)
    if step.did == "done" and hit is not None:
        if step.at < hit.time:
            return f"done was reported at {step.at:.1f} s, the arm struck at {hit.time:.1f} s"
        if not arm_home(recording, step.at):
            return f"done was reported at {step.at:.2f} s, before the arm was back in the middle"
    return leg_early(recording, step)


def stopped_too_soon(recording: Recording) -> str | None:
    """Tell of an order that was reported stopped before its time, and nobody had said stop."""
    for heard in goes(recording):
        assert heard.order
        others = [h.since for h in orders(recording) if h.order and h.since > heard.since]
        for step in steps(recording):
            gone = step.at - heard.since
            if (step.did, step.number) == ("stopped", heard.order.number):
                if others and step.at > others[0]:
                    continue
                if 0.0 <= gone < heard.order.seconds - _SLACK_S:
                    return (
                        f"stopped was reported {gone:.1f} s after the order of {heard.sent:.1f} s, "
                        f"which gave {heard.order.seconds:g} s"
                    )
    return None


def true_steps(recording: Recording, early: Early) -> list[Step]:
    """Give the reports on orders; what came too soon says so, and is none that is asked for."""
    return [
        step._replace(did=f"{step.did} too soon") if early(recording, step) else step
        for step in steps(recording)
    ]


def first_early(early: Early) -> Callable[[Recording], str | None]:
    """Look for the first report in a recording that came too soon."""
    return lambda recording: next(
        filter(None, (early(recording, step) for step in steps(recording))), None
    )
