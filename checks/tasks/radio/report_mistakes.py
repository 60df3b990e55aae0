"""Known mistakes of the task `radio.report`."""

from __future__ import annotations

import json
from typing import Any

from ...readings.radio import Published
from ...task import Clues, Mistake, mistake
from ...words import counted
from .. import reports as told
from ..hearing import ENDED, JOINING, evaluated, obeyed_late
from .lamps import lamps_right, short_chain
from .report import (
    ANSWER_S,
    ReportOrders,
    at_least_once,
    done,
    joined,
    refused,
    said_too_soon,
    shows,
)

__all__ = ["MISTAKES"]

ALL_REPORTS = [done, refused]


def _names(one: Published) -> dict[str, Any]:
    """Give what stands in a report, were it a good one or not; nothing if it is no object."""
    try:
        found = json.loads(one.payload)
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


@mistake(
    "reported as done what it should refuse",
    "report done only behind the last check and the last act.",
    explains=[done, refused, shows],
)
def _done_anyway(seen: ReportOrders) -> Clues:
    for one in seen.answers:
        numbers = [good.order.number for good in one.trial.good if good.order]
        if one.heard.order is None and not one.pair:
            for report in one.mine:
                names = _names(report)
                # With the number of another order it is the late answer to that one.
                if names.get("did") in ("done", "started") and names.get("number") not in numbers:
                    yield f"{one.heard.text} was reported {names['did']!r}, and {one.heard.why}"


@mistake("the wrong number", "give back the number of this very order.", costs=[done])
def _wrong_number(seen: ReportOrders) -> Clues:
    for trial in seen.trials:
        numbers = {heard.order.number for heard in trial.good if heard.order}
        for one in trial.did("done"):
            if one.report and one.report.number not in numbers:
                words = "no number" if one.report.number is None else f"number {one.report.number}"
                yield f"the report at {one.at:.1f} s has {words}; no order had that"


@mistake(
    "reported and not done",
    "first the act, lamps.fill(colour) and lamps.write(), then the report.",
    costs=[shows],
)
def _only_said(seen: ReportOrders) -> Clues:
    for one in seen.answers:
        told_done = one.heard.order and one.fitting and not one.pair
        if told_done and not lamps_right(one.trial, one.heard):
            yield f"{one.heard.text} was reported done, and the lamps do not show it"


@mistake(
    "a report again and again",
    "one report an order, not one a round.",
    explains=[done, refused, joined],
)
def _often(seen: ReportOrders) -> Clues:
    for trial in seen.trials:
        times = len(trial.did("joined"))
        if times > max(1, len(trial.times("connected"))):
            yield f"it reported {times} times that it has joined"
        if len(trial.reports) > 1.5 * (len(trial.orders) + 1):
            yield f"{len(trial.reports)} reports for {len(trial.orders)} orders"


@mistake(
    "more names than asked",
    "a report has did and number, or did and why, and no other names.",
    explains=[done, refused],
)
def _spare_names(seen: ReportOrders) -> Clues:
    for trial in seen.trials:
        for one in trial.did("done", "refused"):
            spare = _names(one).keys() - {
                "did",
                "number" if one.report and one.report.did == "done" else "why",
            }
            if spare:
                yield f"{one.payload.decode()[:60]!r} has the name {min(spare)!r} as well"


@mistake(
    "one of two orders is lost",
    "let heard() append each message to a list, and work off the whole list in the loop: while one "
    "report is on its way another order may come.",
    explains=ALL_REPORTS,
)
def _one_lost(seen: ReportOrders) -> Clues:
    alone = [one for one in seen.answers if not one.pair and one.heard.came]
    if sum(one.hit.share for one in alone) < 0.8 * len(alone):
        return
    for one in seen.answers:
        if one.pair and one.heard.taken is not None and not one.hit.share and not one.spare:
            yield f"{one.hit.name} came close to another, and was not answered"


@mistake(
    "answers too late",
    "answer in the same round: work off the whole list each time, and sleep for less than a tenth "
    "of a second.",
    explains=[done, refused, shows],
)
def _late(seen: ReportOrders) -> Clues:
    for trial in seen.trials:
        for heard in trial.good:
            number = heard.order and heard.order.number
            for one in trial.did("done"):
                late = one.at - heard.since
                if one.report and one.report.number == number and late > ANSWER_S:
                    yield f"{heard.text} was reported done {late:.1f} s after it had come"


@mistake(
    "good orders are refused",
    "print what read(msg) raises, and for which message.",
    costs=[done],
    explains=[shows],
)
def _good_refused(seen: ReportOrders) -> Clues:
    for one in seen.answers:
        kinds = [report.report.did for report in one.mine if report.report]
        if one.heard.order and one.heard.came and not one.pair and kinds == ["refused"]:
            yield f"{one.heard.text} is a good order, and was refused"


@mistake(
    "what was done is not reported",
    'after the act report {"did": "done", "number": number}.',
    costs=[done],
)
def _done_kept_quiet(seen: ReportOrders) -> Clues:
    for trial in seen.trials:
        good = sum(heard.came for heard in trial.good)
        if good and trial.reports and not trial.did("done"):
            yield f"{counted(good, 'good order')} came, and none was reported done"


@mistake(
    "said too soon that it is there",
    'report {"did": "joined"} behind subscribe(): before that it hears no order.',
    costs=[joined],
)
def _announced_early(seen: ReportOrders) -> Clues:
    for trial in seen.trials:
        if trial.subscribed and said_too_soon(trial):
            yield (
                f"it reported joined at {trial.did('joined')[0].at:.2f} s and had subscribed at "
                f"{trial.subscribed[0][0]:.2f} s"
            )


@mistake(
    "published while another message was at work",
    "publish(..., qos=1) handles whatever arrives while it waits, by calling heard(): let heard() "
    "only put the message into a list, and publish in the loop.",
    costs=[at_least_once],
    explains=ALL_REPORTS,
)
def _within_heard(seen: ReportOrders) -> Clues:
    for one in seen.overtaking:
        yield f"the report of {one.sent:.3f} s went out before the one before it was acknowledged"


MISTAKES: tuple[Mistake, ...] = (
    ENDED,
    evaluated([refused]),
    *JOINING,
    mistake(
        "no report under the log topic",
        "publish under LOG: harbour/, the tug's name, /log.",
        costs=[done, refused, joined, at_least_once],
    )(told.no_report),
    _done_anyway,
    mistake(
        "a report that is no JSON",
        "json.dumps makes the text; str() of a dict has single quotes, which JSON has not.",
        explains=[done, refused, joined],
    )(told.no_json),
    mistake(
        "a report by other rules",
        "did is joined, done or refused; number is the order's own number as it came, not a text; "
        "why is a text; there are no other names.",
        explains=[done, refused, joined],
    )(told.by_other_rules),
    obeyed_late(explains=[done, refused, shows]),
    _wrong_number,
    _often,
    _spare_names,
    _good_refused,
    _late,
    _one_lost,
    _done_kept_quiet,
    _within_heard,
    short_chain([shows]),
    _only_said,
    mistake(
        "refusals are not reported",
        "where you catch the exception, report refused and str(fault) as why.",
        costs=[refused],
    )(told.refusals_kept_quiet),
    mistake("a refusal without its reason", "put str(fault) into why.", costs=[refused])(
        told.no_reason
    ),
    mistake(
        "did not say that it is there",
        'report {"did": "joined"} once, after subscribing.',
        costs=[joined],
    )(told.not_announced),
    _announced_early,
    mistake(
        "reports at most once",
        "publish(LOG, text, qos=1) waits until the broker has it; at QoS 0 nobody knows.",
        costs=[at_least_once],
    )(told.at_most_once),
)
