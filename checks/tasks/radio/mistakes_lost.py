"""Known mistakes in losing the link and in coming back, in the lesson `radio`."""

from __future__ import annotations

from collections.abc import Iterator

from robotsim import Recording

from ...readings.radio import Heard, moved, orders, radio, stirred, subscriptions, told, wheels
from ...task import Mistake
from .mistakes import each, joining, not_announced, text_of
from .mistakes_ways import bad_moves, left_on

__all__ = ["LOST"]


def _losses(recording: Recording) -> list[tuple[float, str]]:
    """Give when network and broker were lost while the tug was under way, and which."""
    found = [(at, "network") for at, _ in radio(recording, "lost")]
    found += [(at, "broker") for at, detail in radio(recording, "broker") if detail == "down"]
    return sorted(p for p in found if abs(moved(recording, p[0] - 1, p[0])) > 0.03)


def _drives_on(recording: Recording) -> str | None:
    for at, what in _losses(recording):
        far = abs(moved(recording, at + 1.0, at + 2.0))
        if far >= 0.003:
            return f"the {what} was lost at {at:.1f} s, and the tug went on for more than a second"
    return None


def _moves(recording: Recording) -> Iterator[tuple[Heard, float, float]]:
    """Go through the orders to move that arrived: when each begins, and when it is over."""
    for heard in orders(recording):
        if heard.order is not None and heard.order.speed and heard.at is not None:
            yield heard, heard.since, heard.since + min(heard.order.seconds, 1.5)


def _stands(recording: Recording) -> str | None:
    known = list(_moves(recording))
    if known and not any(stirred(recording, begin, end) > 0.01 for _, begin, end in known):
        return f"{text_of(known[0][0])} arrived at {known[0][1]:.1f} s, and no wheel turned"
    return None


def _otherwise(recording: Recording) -> str | None:
    for heard, begin, end in _moves(recording):
        assert heard.order and heard.order.speed
        if moved(recording, begin + 0.4, end) * heard.order.speed < -0.001:
            return f"{text_of(heard)} made the tug go the other way"
    return None


def _one_wheel(recording: Recording) -> str | None:
    for heard, begin, end in _moves(recording):
        left, right = wheels(recording, begin + 0.4, end)
        if min(abs(left), abs(right)) < 0.1 * max(abs(left), abs(right)) > 0.002:
            return f"at {text_of(heard)} the left wheel rolled {left:.2f} m, the right {right:.2f}"
    return None


def _over_too_soon(recording: Recording) -> str | None:
    for heard, begin, _ in _moves(recording):
        assert heard.order
        over = begin + heard.order.seconds
        until = min([over, *(at for at, _ in radio(recording, "lost", "broker", "cut", "closed")
                             if at > begin)])  # fmt: skip
        began = stirred(recording, begin, begin + 0.9) > 0.01
        if began and until - begin > 1.5 and stirred(recording, until - 0.4, until) < 0.003:
            return (
                f"{text_of(heard)} came at {begin:.1f} s, and at {until:.1f} s the tug stood, "
                "though it was connected"
            )
    return None


def _goes_on_after(recording: Recording) -> str | None:
    """Drives after a loss before any new order has come."""
    came = [heard.since for heard in orders(recording)]
    for at, _ in radio(recording, "connected"):
        until = min((t for t in came if t > at), default=recording.seconds)
        before = [t for t in came if t < at]
        if before and until - at > 1.0 and stirred(recording, at + 0.3, until - 0.1) > 0.02:
            still = stirred(recording, at - 0.3, at) < 0.005
            if still:
                return f"it connected again at {at:.1f} s and drove, before a new order had come"
    return None


def _old_connection(recording: Recording) -> str | None:
    back = [at for at, _ in radio(recording, "connected")]
    for at, _ in radio(recording, "lost"):
        again = next((t for t, _ in radio(recording, "joined") if t > at), None)
        if again is None or not any(b < at for b in back):
            continue
        if not any(at < b < again + 4 for b in back) and recording.seconds > again + 4:
            return (
                f"the network was lost at {at:.1f} s and joined again at {again:.1f} s, and no "
                "new connection with the broker was made"
            )
    return None


def _gave_up(recording: Recording) -> str | None:
    lost = [at for at, _ in radio(recording, "lost")]
    lost += [at for at, detail in radio(recording, "broker") if detail == "down"]
    back = [at for at, _ in radio(recording, "connected")]
    for at in sorted(lost):
        if back and not any(b > at for b in back):
            return f"the link was lost at {at:.1f} s, and no new connection was made"
    return None


def _deaf_again(recording: Recording) -> str | None:
    back = [at for at, _ in radio(recording, "connected")]
    for k, at in enumerate(back[1:], 1):
        until = back[k + 1] if k + 1 < len(back) else recording.seconds
        if until - at > 2 and not any(at <= t < until for t, _ in subscriptions(recording)):
            came = any(h.at is not None and at < h.at < until for h in orders(recording))
            sent = any(at < h.sent < until for h in orders(recording))
            if sent and not came:
                return f"it connected again at {at:.1f} s and did not subscribe again"
    return None


def _silent_return(recording: Recording) -> str | None:
    back = len(list(radio(recording, "connected")))
    joined = sum(s.report is not None and s.report.did == "joined" for s in told(recording))
    if joined < back:
        return f"it connected {back} times, and reported {joined} times that it has joined"
    return None


def _not_missed(recording: Recording) -> str | None:
    losses = [(at, "the cut") for at, detail in radio(recording, "cut") if detail == "begins"]
    losses += [(at, "the loss of the network") for at, _ in radio(recording, "lost")]
    for at, what in sorted(losses):
        if not any(at < t < at + 10 for t, _ in radio(recording, "will")):
            closed = [d for t, d in radio(recording, "closed") if at < t < at + 10]
            if any(not detail.endswith("broker went down") for detail in closed):
                return "the broker noticed the loss, but had no will to publish"
            if any(t < at for t, _ in radio(recording, "connected")):
                return (
                    f"{at + 10:.0f} s, 10 s after {what}, the broker still held the tug for there"
                )
    return None


def _bad_will(recording: Recording) -> str | None:
    wills = {round(at * 1000) for at, _ in radio(recording, "will")}
    for one in told(recording):
        if round(one.at * 1000) in wills and (one.report is None or one.report.did != "gone"):
            return f"the will says {one.payload[:40]!r}"
    return None


def _off_topic_will(recording: Recording) -> str | None:
    topic = f"harbour/tug-{recording.serial}/log"
    for _, detail in radio(recording, "will"):
        if not detail.endswith(" " + topic):
            return f"the will went to {detail.split(' ', 1)[1]!r}, not to {topic}"
    return None


LOST: tuple[Mistake, ...] = (
    *joining()[:-1],
    Mistake(
        "goes on driving without a link",
        "stop() first, wherever you notice a loss: isconnected() is false, or a call raises "
        "OSError. Nothing that waits may stand before it.",
        each(_drives_on),
    ),
    joining()[-1],
    Mistake(
        "orders do not move it",
        "in heard, once the order is read, set the motors: drive(speed).",
        each(_stands),
    ),
    Mistake(
        "ahead and astern exchanged",
        "a speed above 0 is ahead, one below 0 is astern.",
        each(_otherwise),
    ),
    Mistake(
        "only one wheel is driven",
        "straight ahead both motors get the same.",
        each(_one_wheel),
    ),
    Mistake(
        "stops before the order is over",
        "an order holds for its own seconds: until = ticks_add(ticks_ms(), int(1000 * seconds)).",
        each(_over_too_soon),
    ),
    Mistake(
        "goes on with the old order",
        "an order ends with the link: stop(), with until = None, and wait for the next one.",
        each(_goes_on_after),
    ),
    Mistake(
        "did not subscribe again",
        "a clean session begins with no subscriptions: subscribe after every connect().",
        each(_deaf_again),
    ),
    Mistake(
        "does not rejoin",
        "put joining, connecting and subscribing into the loop, under try and except OSError.",
        each(_gave_up),
    ),
    Mistake(
        "the old connection is kept",
        "look at isconnected() in every round; after a loss begin anew: connect, subscribe, and "
        "report that you have joined.",
        each(_old_connection),
    ),
    Mistake(
        "the will goes to the wrong topic",
        "set_last_will(LOG, ...): the office listens there.",
        each(_off_topic_will),
    ),
    Mistake(
        "the office is not told of a loss",
        "before connect(): set_last_will(LOG, ..., qos=1), and a keep-alive of a few seconds.",
        each(_not_missed),
    ),
    Mistake("the will is no report", 'the will is {"did": "gone"}.', each(_bad_will)),
    Mistake(
        "a bad order was carried out",
        "check everything before you do anything, and refuse an order whole.",
        each(bad_moves),
    ),
    Mistake(
        "did not say that it is there",
        'report {"did": "joined"} after each new subscription.',
        each(lambda recording: not_announced(recording) or _silent_return(recording)),
    ),
    Mistake(
        "motors left on",
        "look in every round of the loop whether the order's time is over.",
        each(left_on),
    ),
)
