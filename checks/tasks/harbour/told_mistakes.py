"""Known mistakes in the reports of the lesson `harbour`, and how a recording gives them away."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

from robotsim import Recording

from ...readings.radio import said
from ...task import Mistake
from ..radio.mistakes import REPORT, each, not_announced
from .evidence import goes, halts, steps
from .told import asked_steps, in_order

__all__ = ["STOPPED_IS_DONE", "tells"]

_Look = Callable[[Recording], str | None]


def _unasked(recording: Recording) -> str | None:
    """Reported on an order before there was one."""
    first = goes(recording)[0].since
    for step in steps(recording):
        if step.at < first:
            return f"{step.did!r} at {step.at:.1f} s; the first order to go came at {first:.1f} s"
    return None


def _never(over: str) -> _Look:
    """Look for a step that is never told, whatever the number."""

    def look(recording: Recording) -> str | None:
        if not said(recording):
            return None
        told = {step.did for step in steps(recording)}
        for did, number in asked_steps(recording, over):
            if did not in told:
                return f"no report says {did!r}; the order had number {number}"
        return None

    return look


def _stopped_is_done(recording: Recording) -> str | None:
    """Told done of an order that had been ended by a stop."""
    for go in goes(recording):
        assert go.order
        end = go.since + go.order.seconds
        stop = next((h.since for h in halts(recording) if go.since < h.since < end), None)
        for step in steps(recording):
            if stop is not None and step.did == "done" and step.number == go.order.number:
                if step.at > stop:
                    return (
                        f"number {step.number} was stopped at {stop:.1f} s, and reported done at "
                        f"{step.at:.1f} s"
                    )
    return None


STOPPED_IS_DONE = Mistake(
    "a stopped order is reported done",
    "a stop ends the order: forget until and number, or set the state to waiting.",
    each(_stopped_is_done),
)


def _wrong_number(over: str) -> _Look:
    def look(recording: Recording) -> str | None:
        asked = asked_steps(recording, over)
        for step in steps(recording):
            if (step.did, step.number) not in asked and step.did in {did for did, _ in asked}:
                return f"{step.did!r} at {step.at:.1f} s has number {step.number}"
        return None

    return look


def _twice(recording: Recording) -> str | None:
    told = Counter((step.did, step.number) for step in steps(recording))
    for (did, number), times in told.items():
        if times > 1:
            return f"{did!r} was reported {times} times for number {number}"
    return None


def _lacking(over: str) -> _Look:
    """Look for a step that is told for another order only."""

    def look(recording: Recording) -> str | None:
        asked, given = asked_steps(recording, over), steps(recording)
        for count in range(1, len(asked) + 1):
            if given and in_order(asked[:count], given) < count:
                did, number = asked[count - 1]
                return f"no report says {did!r} for number {number}, behind those before it"
        return None

    return look


def _named(name: str) -> Mistake:
    """Give a known mistake of the lesson `radio` by its name."""
    return next(mistake for mistake in REPORT if mistake.name == name)


def tells(over: str = "done") -> tuple[Mistake, ...]:
    """Give the mistakes in what is reported.

    Args:
        over: What is reported when an order's time is over and another follows.
    """
    lacking = "report where the state changes: started, stopped, done."
    return (
        _named("no report under the log topic"),
        _named("a report that is no JSON"),
        Mistake(
            "a report by other rules",
            "did is joined, started, stopped, done or refused; number is the order's own number as "
            "it came, not a text; why is a text; there are no other names.",
            _named("a report by other rules").look,
        ),
        Mistake(
            "reported before it was ordered",
            "report started when an order to go has come, and not before.",
            each(_unasked),
        ),
        Mistake("a step is not reported", lacking, each(_never(over))),
        Mistake(
            "the wrong number",
            "keep the number of the order that you carry out, and give it back.",
            each(_wrong_number(over)),
        ),
        Mistake("a report again and again", "one report a step, not one a round.", each(_twice)),
        Mistake("a step is not reported", lacking, each(_lacking(over))),
        Mistake(
            "refusals are not reported",
            "where you catch the exception, report refused and str(fault) as why.",
            _named("refusals are not reported").look,
        ),
        _named("a refusal without its reason"),
        Mistake(
            "did not say that it is there",
            'report {"did": "joined"} once, after subscribing.',
            each(not_announced),
        ),
    )
