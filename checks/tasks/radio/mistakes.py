"""Known mistakes in the tasks of the lesson `radio`, and how a recording gives them away."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from robotsim import Recording

from ...readings.radio import Heard, orders, radio, said, subscriptions, taken
from ...task import Mistake
from .scripts import GIVEAWAY

__all__ = [
    "ENDED", "REPORT", "each", "joining", "late", "not_announced", "text_of",
]  # fmt: skip

Recordings = Sequence[Recording]
Look = Callable[[Recordings], str | None]


def each(look: Callable[[Recording], str | None]) -> Look:
    """Look at one recording after the other: the first evidence."""

    def first(recordings: Recordings) -> str | None:
        return next(filter(None, map(look, recordings)), None)

    return first


def _count(recording: Recording, *whats: str) -> int:
    return len(list(radio(recording, *whats)))


def text_of(heard: Heard) -> str:
    """Give an order's text, short enough for a card."""
    return repr(heard.payload.decode("utf-8", "replace")[:50])


# -- joining, connecting, subscribing -----------------------------------------


def _not_joined(recording: Recording) -> str | None:
    if _count(recording, "joined"):
        return None
    if not _count(recording, "joining"):
        return "the board never asked to join a network"
    return next((f"{detail}" for _, detail in radio(recording, "not joined")), None)


def _not_connected(recording: Recording) -> str | None:
    if _count(recording, "joined") and not _count(recording, "connected"):
        return "the network was joined, but no connection with the broker was made"
    return None


def _no_subscription(recording: Recording) -> str | None:
    if _count(recording, "connected") and not subscriptions(recording):
        return "it connected and never subscribed to anything"
    return None


def _wrong_topic(recording: Recording) -> str | None:
    wanted = [detail.split(" ", 1)[1] for _, detail in radio(recording, "subscribed")]
    if wanted and not any(fits for _, fits in subscriptions(recording)):
        topic = f"harbour/tug-{recording.serial}/order"
        return f"it subscribed to {wanted[0]!r}; its orders come under {topic!r}"
    return None


def _too_late(recording: Recording) -> str | None:
    """Orders had gone by before the tug asked for them."""
    first = next((at for at, fits in subscriptions(recording) if fits), 0.0)
    gone = [h for h in orders(recording) if h.at is None and h.sent < first]
    if gone:
        return f"it subscribed at {first:.1f} s, and {len(gone)} orders had gone by"
    return None


def _never_looked(recording: Recording) -> str | None:
    came = sum(heard.at is not None for heard in orders(recording))
    if came and not taken(recording):
        return f"{came} orders arrived at the board, and the program took none of them"
    return None


def _fell_silent(recording: Recording) -> str | None:
    for at, detail in radio(recording, "closed"):
        cut = any(d == "begins" and t < at < t + 14 for t, d in radio(recording, "cut"))
        cut |= any(t < at < t + 8 for t, _ in radio(recording, "lost"))
        if "keep-alive" in detail and not cut and at < recording.ended_ns / 1e9:
            return f"the broker ended the connection at {at:.1f} s: its keep-alive had run out"
    return None


# -- what arrives ---------------------------------------------------------------


def _evaluated(recording: Recording) -> str | None:
    for at, line in recording.printed:
        if GIVEAWAY in line:
            return f"at {at:.1f} s the console shows what only running a message can print"
    return None


def _ended(recording: Recording) -> str | None:
    """The program meant to listen and came to its end, and orders went on coming."""
    if not _count(recording, "joining"):
        return None
    end = recording.ended_ns / 1e9
    later = sum(heard.sent > end for heard in orders(recording))
    if recording.ended == "finished" and later:
        return f"the program came to its end at {end:.1f} s, and {later} orders came after that"
    return None


def late(recording: Recording) -> str | None:
    """Tell of an order that waited on the board."""
    waits = []
    took = iter([e.seconds for e in recording.of("message") if e.stage == "taken"])
    for heard in orders(recording):
        if heard.at is not None:
            waits.append(next(took, recording.seconds) - heard.at)
    slow = max(waits, default=0.0)
    if slow > 0.45 and taken(recording):
        return f"an order waited {slow:.1f} s on the board before the program took it"
    return None


def joining() -> tuple[Mistake, ...]:
    """Give the mistakes on the way to the first message, which all tasks share."""
    return (
        Mistake(
            "what arrives is evaluated",
            "never give a message to eval or exec: whoever can send one could do anything with "
            "your board. json.loads reads data and nothing else.",
            each(_evaluated),
        ),
        Mistake(
            "the network was not joined",
            "compare name and password with the lesson, letter by letter, and wait in a loop "
            "until isconnected() is true.",
            each(_not_joined),
        ),
        Mistake("never connected to the broker", "call client.connect().", each(_not_connected)),
        Mistake(
            "subscribe forgotten",
            "after every connect() call client.subscribe(ORDER, 1); the broker sends nothing that "
            "nobody asked for.",
            each(_no_subscription),
        ),
        Mistake(
            "subscribed to the wrong topic",
            "a topic is compared letter by letter; print yours and compare it.",
            each(_wrong_topic),
        ),
        Mistake(
            "never looked for messages",
            "messages are handled only within check_msg() or wait_msg(): one of them in the loop.",
            each(_never_looked),
        ),
        Mistake(
            "subscribed too late",
            "join, connect and subscribe right at the start: what nobody asked for is lost.",
            each(_too_late),
        ),
        Mistake(
            "no sign of life",
            "within the keep-alive time something must be sent: client.ping() every second or two.",
            each(_fell_silent),
        ),
    )


ENDED = Mistake(
    "does not go on listening",
    "wait in a loop until it has joined; at the end `while True:` with check_msg() and a sleep.",
    each(_ended),
)

# -- radio.report ---------------------------------------------------------------


def _no_report(recording: Recording) -> str | None:
    if said(recording):
        return None
    other = [e for e in recording.of("message") if e.stage == "said"]
    if other:
        topic = f"harbour/tug-{recording.serial}/log"
        return f"it published under {other[0].topic!r}; reports go under {topic!r}"
    return "nothing was published" if taken(recording) else None


def _no_report_but(json_too: bool) -> Look:
    """Look for something under the log topic that is no report: JSON all the same, or not."""

    def look(recording: Recording) -> str | None:
        for one in said(recording):
            if one.report is None and json_too != ("JSON" in one.why):
                told_as = one.payload.decode("utf-8", "replace")[:50]
                return f"{told_as!r} at {one.at:.1f} s is no report: {one.why}"
        return None

    return each(look)


def _only_said(recording: Recording) -> str | None:
    """Reported done, and the lamps show nothing of it."""
    for heard in orders(recording):
        if heard.order is None or heard.order.lamps is None:
            continue
        done = [s for s in said(recording) if s.report and s.report.did == "done"
                and s.report.number == heard.order.number]  # fmt: skip
        if done and set(recording.lamps_at(heard.since + 0.4)) != set(heard.order.lamps):
            return f"{text_of(heard)} was reported done, and the lamps do not show it"
    return None


def _done_anyway(recording: Recording) -> str | None:
    heard = orders(recording)
    for k, one in enumerate(heard):
        until = heard[k + 1].sent if k + 1 < len(heard) else recording.seconds
        for report in said(recording):
            if one.order is None and one.since <= report.at < until:
                if report.report and report.report.did in ("done", "started"):
                    return f"{text_of(one)} was reported {report.report.did!r}, and {one.why}"
    return None


def _wrong_number(recording: Recording) -> str | None:
    numbers = {h.order.number for h in orders(recording) if h.order}
    for report in said(recording):
        if report.report and report.report.did == "done" and report.report.number not in numbers:
            return f"a report says number {report.report.number}, no order had that"
    return None


def _good_refused(recording: Recording) -> str | None:
    good = [h for h in orders(recording) if h.order is not None and h.at is not None]
    kinds = [s.report.did for s in said(recording) if s.report]
    if good and kinds.count("refused") > len(orders(recording)) - len(good):
        return f"{text_of(good[0])} is a good order, and was refused"
    return None


def _done_kept_quiet(recording: Recording) -> str | None:
    good = [h for h in orders(recording) if h.order is not None and h.at is not None]
    if good and not any(s.report and s.report.did == "done" for s in said(recording)):
        return f"{len(good)} good orders came, and none was reported done"
    return None


def _refusals_kept_quiet(recording: Recording) -> str | None:
    bad = [h for h in orders(recording) if h.order is None and h.at is not None]
    kinds = [s.report.did for s in said(recording) if s.report]
    if bad and "done" in kinds and "refused" not in kinds:
        return f"{len(bad)} bad orders came, and none was reported"
    return None


def _no_reason(recording: Recording) -> str | None:
    for one in said(recording):
        if one.report and one.report.did == "refused" and not one.report.why.strip():
            return f"the report at {one.at:.1f} s does not say why"
    return None


def _often(recording: Recording) -> str | None:
    heard = orders(recording)
    joined = sum(s.report is not None and s.report.did == "joined" for s in said(recording))
    if joined > max(1, len(list(radio(recording, "connected")))):
        return f"it reported {joined} times that it has joined"
    if len(said(recording)) > 1.5 * (len(heard) + 1):
        return f"{len(said(recording))} reports for {len(heard)} orders"
    return None


def _at_most_once(recording: Recording) -> str | None:
    loose = [s for s in said(recording) if s.qos == 0]
    return f"the report at {loose[0].at:.1f} s went at QoS 0" if loose else None


def not_announced(recording: Recording) -> str | None:
    """Tell of a tug that takes orders and has not said so."""
    reports = [s.report.did for s in said(recording) if s.report]
    if subscriptions(recording) and "joined" not in reports:
        return "no report says that it has joined"
    return None


REPORT: tuple[Mistake, ...] = (
    ENDED,
    *joining(),
    Mistake(
        "no report under the log topic",
        "publish under LOG: harbour/, the tug's name, /log.",
        each(_no_report),
    ),
    Mistake(
        "a report that is no JSON",
        "json.dumps makes the text; str() of a dict has single quotes, which JSON has not.",
        _no_report_but(json_too=False),
    ),
    Mistake(
        "a report by other rules",
        "did is joined, done or refused; number is the order's own number as it came, not a text; "
        "why is a text; there are no other names.",
        _no_report_but(json_too=True),
    ),
    Mistake(
        "messages wait too long",
        "look for messages at least ten times a second: check_msg(), and a short sleep.",
        each(late),
    ),
    Mistake(
        "reported as done what it should refuse",
        "report done only behind the last check and the last act.",
        each(_done_anyway),
    ),
    Mistake("the wrong number", "give back the number of this very order.", each(_wrong_number)),
    Mistake(
        "reported and not done",
        "first the act, lamps.fill(colour) and lamps.write(), then the report.",
        each(_only_said),
    ),
    Mistake("a report again and again", "one report an order, not one a round.", each(_often)),
    Mistake(
        "good orders are refused",
        "print what read(msg) raises, and for which message.",
        each(_good_refused),
    ),
    Mistake(
        "what was done is not reported",
        'after the act report {"did": "done", "number": number}.',
        each(_done_kept_quiet),
    ),
    Mistake(
        "refusals are not reported",
        "where you catch the exception, report refused and str(fault) as why.",
        each(_refusals_kept_quiet),
    ),
    Mistake("a refusal without its reason", "put str(fault) into why.", each(_no_reason)),
    Mistake(
        "did not say that it is there",
        'report {"did": "joined"} once, after subscribing.',
        each(not_announced),
    ),
    Mistake(
        "reports at most once",
        "publish(LOG, text, qos=1) waits until the broker has it; at QoS 0 nobody knows.",
        each(_at_most_once),
    ),
)
