"""What a voyage's reports are to be, which came too soon, and what goes wrong with them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

from ...task import Clues, Criterion, Finding, Mistake, mistake
from .. import reports as told
from ..trials import judged, known
from .voyage import ROLLS, Step, Voyage

__all__ = [
    "Early", "asked_steps", "done_at_the_bar", "done_in_time", "done_with_the_arm", "in_order",
    "refuses", "report_mistakes", "reports", "stopped_is_done", "stopped_too_soon", "too_soon",
]  # fmt: skip

Early = Callable[[Voyage, Step], str]
"""Tells in words that a report said done before it was; "" if it did not."""
_SLACK_S = 0.25
"""A report may come so much before its order's time is over: clocks are read in rounds."""
_ANSWER_S = 1.5
"""How long the report of a refusal may take."""
_SPARE = 0.5
"""What a report too many costs, of one that is asked for."""


def asked_steps(one: Voyage, over: str = "done") -> list[tuple[str, int | None]]:
    """Give the reports that the orders ask for, in order: what, and which number.

    Args:
        one: The voyage.
        over: What is reported when an order's time is over and another follows; the last is done.
    """
    asked, going = list[tuple[str, int | None]](), None
    for heard in one.good:
        assert heard.order
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
    told_steps = [(step.did, step.number) for step in given]
    found, begin = 0, 0
    for wanted in asked:
        if wanted in told_steps[begin:]:
            begin = told_steps.index(wanted, begin) + 1
            found += 1
    return found


# -- too soon ------------------------------------------------------------------


def done_in_time(one: Voyage, step: Step) -> str:
    """Tell of a done before the order's seconds were over."""
    return _before_its_time(one, step, "done")


def _before_its_time(one: Voyage, step: Step, did: str) -> str:
    for heard in one.goes:
        assert heard.order
        gone = step.at - heard.since
        later = [other.since for other in one.good if other.since > heard.since]
        if did == "stopped" and later and step.at > later[0]:
            continue  # another order may have ended it
        if (step.did, step.number) == (did, heard.order.number):
            if 0.0 <= gone < heard.order.seconds - _SLACK_S:
                return (
                    f"{did} was reported {gone:.1f} s after the order of {heard.sent:.1f} s, which "
                    f"gave {heard.order.seconds:g} s"
                )
    return ""


def done_at_the_bar(one: Voyage, step: Step) -> str:
    """Tell of a done before the tug stood, or before it had gone half of the way."""
    if step.did != "done":
        return ""
    gone = max(far for t, far in zip(one.went.t, one.went.gone, strict=True) if t <= step.at)
    if gone < one.went.goal / 2:
        return f"done was reported at {step.at:.1f} s, {gone:.2f} m along the line"
    if one.speed_at(step.at) > ROLLS:
        return f"done was reported at {step.at:.2f} s, while the wheels were still turning"
    return ""


def done_with_the_arm(one: Voyage, step: Step) -> str:
    """Tell of a done before the arm had struck and was back in the middle."""
    if step.did == "done" and one.hit is not None:
        if step.at < one.hit.time:
            return f"done was reported at {step.at:.1f} s, the arm struck at {one.hit.time:.1f} s"
        if not one.arm_home(step.at):
            return f"done was reported at {step.at:.2f} s, before the arm was back in the middle"
    return done_at_the_bar(one, step)


# -- what is asked -------------------------------------------------------------


def reports(points: float, early: Early, steps: str, over: str = "done") -> Criterion:
    """Make the criterion of the reports.

    Args:
        points: What it is worth.
        early: Tells of a report that came too soon, which is none that is asked for.
        steps: What is asked of reports on orders, in words.
        over: What is reported when an order's time is over and another follows.
    """

    def judge(one: Voyage) -> Finding:
        asked = asked_steps(one, over)
        given = [
            step._replace(did=f"{step.did} too soon") if early(one, step) else step
            for step in one.steps
        ]
        joined = any(told_joined.at < one.goes[0].sent for told_joined in one.did("joined"))
        found, extra = in_order(asked, given) + joined, max(0, len(given) - len(asked))
        part = max(0.0, (found - _SPARE * extra) / (len(asked) + 1))
        words = f"{found} of {len(asked) + 1} reports in their order"
        words += f", and {extra} too many" if extra else ""
        told_steps = ", ".join(f"{s.did} {s.number}" for s in given[:6]) or "nothing on the orders"
        return Finding(part, f"{words}; it told {'' if joined else 'not joined, '}{told_steps}")

    asks = f"joined before the first order to go; then, with the order's number, {steps}; each "
    asks += f"report too many costs {_SPARE:g} of one"
    return Criterion("It reports each step", points, judged(judge), asks=asks)


def _refuses(one: Voyage) -> Finding:
    run = one.evaluated()
    if run is not None:
        return Finding(0.0, "a message was run as a program", at=run)
    answers = [s.at for s in one.did("refused") if s.report and s.report.why.strip()]
    missed = []
    for heard in one.bad:
        at = next((at for at in answers if heard.since <= at < heard.since + _ANSWER_S), None)
        if at is None:
            missed.append(heard)
        else:
            answers.remove(at)
    done = len(one.bad) - len(missed)
    words = f"{done} of {len(one.bad)} bad orders were reported refused, with a reason"
    if not missed:
        return Finding(1.0, words)
    return Finding(done / len(one.bad), f"{words}; not: {missed[0].text}", at=missed[0].since)


def refuses(points: float) -> Criterion:
    """Make the criterion of the bad orders."""
    asks = f"each is reported refused within {_ANSWER_S:g} s, with why; nothing of it is run"
    return Criterion("It refuses bad orders", points, judged(_refuses), asks=asks)


# -- what goes wrong -----------------------------------------------------------


def too_soon(early: Early, name: str, hint: str, costs: list[Criterion]) -> Mistake:
    """Make the mistake of a report that came too soon."""

    @known(name, hint, costs=costs)
    def look(one: Voyage) -> Clues:
        yield from filter(None, (early(one, step) for step in one.steps))

    return look


@known(
    "the order ends too soon",
    "seconds are seconds: until is ticks_add(ticks_ms(), int(1000 * seconds)).",
)
def stopped_too_soon(one: Voyage) -> Clues:
    """An order was reported stopped before its time, and nobody had said stop."""
    yield from filter(None, (_before_its_time(one, step, "stopped") for step in one.steps))


def _unasked(one: Voyage) -> Clues:
    first = one.goes[0].since
    for step in one.steps:
        if step.at < first:
            yield f"{step.did!r} at {step.at:.1f} s; the first order to go came at {first:.1f} s"


def _twice(one: Voyage) -> Clues:
    for (did, number), times in Counter((step.did, step.number) for step in one.steps).items():
        if times > 1:
            yield f"{did!r} was reported {times} times for number {number}"


def stopped_is_done(costs: list[Criterion]) -> Mistake:
    """Make the mistake of a done for an order that had been ended by a stop."""

    @known(
        "a stopped order is reported done",
        "a stop ends the order: forget until and number, or set the state to waiting.",
        costs=costs,
    )
    def look(one: Voyage) -> Clues:
        for go in one.goes:
            assert go.order
            end = go.since + go.order.seconds
            stop = next((h.since for h in one.halts if go.since < h.since < end), None)
            for step in one.steps:
                mine = (step.did, step.number) == ("done", go.order.number)
                if stop is not None and mine and step.at > stop:
                    yield (
                        f"number {step.number} was stopped at {stop:.1f} s, and reported done at "
                        f"{step.at:.1f} s"
                    )

    return look


def report_mistakes(
    reports: Criterion, refuses: Criterion | None = None, over: str = "done"
) -> tuple[Mistake, ...]:
    """Give the mistakes in what is reported.

    Args:
        reports: The task's criterion of the reports.
        refuses: That of the bad orders; None where nothing is earned for them.
        over: What is reported when an order's time is over and another follows.
    """
    lacking = "report where the state changes: started, stopped, done."
    mine, bad = [reports], [refuses] if refuses else []

    def never(one: Voyage) -> Clues:
        given = {step.did for step in one.steps}
        for did, number in asked_steps(one, over):
            if one.reports and did not in given:
                yield f"no report says {did!r}; the order had number {number}"

    def wrong_number(one: Voyage) -> Clues:
        asked = asked_steps(one, over)
        for step in one.steps:
            if (step.did, step.number) not in asked and step.did in {did for did, _ in asked}:
                yield f"{step.did!r} at {step.at:.1f} s has number {step.number}"

    def left_out(one: Voyage) -> Clues:
        asked = asked_steps(one, over)
        for count in range(1, len(asked) + 1):
            if one.steps and in_order(asked[:count], one.steps) < count:
                did, number = asked[count - 1]
                yield f"no report says {did!r} for number {number}, behind those before it"

    return (
        mistake(
            "no report under the log topic", "publish under LOG: harbour/, the tug's name, /log.",
            costs=[*mine, *bad],
        )(told.no_report),
        mistake(
            "a report that is no JSON",
            "json.dumps makes the text; str() of a dict has single quotes, which JSON has not.",
            explains=[*mine, *bad],
        )(told.no_json),
        mistake(
            "a report by other rules",
            "did is joined, started, stopped, done or refused; number is the order's own number as "
            "it came, not a text; why is a text; there are no other names.",
            explains=[*mine, *bad],
        )(told.by_other_rules),
        known(
            "reported before it was ordered",
            "report started when an order to go has come, and not before.", costs=mine,
        )(_unasked),
        known("a step is not reported", lacking, costs=mine)(never),
        known(
            "the wrong number",
            "keep the number of the order that you carry out, and give it back.", costs=mine,
        )(wrong_number),
        known("a report again and again", "one report a step, not one a round.", costs=mine)(
            _twice
        ),
        known("a step is not reported", lacking, costs=mine)(left_out),
        *_about_refusals(bad),
        mistake(
            "did not say that it is there",
            'report {"did": "joined"} once, after subscribing.', costs=mine,
        )(told.not_announced),
    )  # fmt: skip


def _about_refusals(bad: list[Criterion]) -> tuple[Mistake, ...]:
    hint = "where you catch the exception, report refused and str(fault) as why."
    return (
        mistake("refusals are not reported", hint, costs=bad)(told.refusals_kept_quiet),
        mistake("a refusal without its reason", hint, costs=bad)(told.no_reason),
    ) if bad else ()  # fmt: skip
