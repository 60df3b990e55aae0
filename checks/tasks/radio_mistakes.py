"""Known mistakes in the tasks of the lesson `radio`, and how a recording gives them away."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from robotsim import Recording

from ..driving import still_driven
from ..hearing import Heard, lamps_before, moved, orders, radio, said, subscriptions, taken, told
from ..task import Mistake
from .radio_scripts import GIVEAWAY

__all__ = ["HELM", "LAMPS", "LOST", "REPORT"]

Recordings = Sequence[Recording]
Look = Callable[[Recordings], str | None]


def _each(look: Callable[[Recording], str | None]) -> Look:
    """Look at one recording after the other: the first evidence."""

    def first(recordings: Recordings) -> str | None:
        return next(filter(None, map(look, recordings)), None)

    return first


def _count(recording: Recording, *whats: str) -> int:
    return len(list(radio(recording, *whats)))


def _text(heard: Heard) -> str:
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


def _bad_lamps(recording: Recording) -> str | None:
    for heard in orders(recording):
        if heard.order is None and heard.at is not None:
            after = recording.lamps_at(heard.at + 0.5)
            if lamps_before(recording, heard.at) != after:
                return f"{_text(heard)} changed the lamps, and {heard.why}"
    return None


def _bad_moves(recording: Recording) -> str | None:
    for heard in orders(recording):
        if heard.order is None and abs(moved(recording, heard.since, heard.since + 0.69)) > 0.01:
            return f"{_text(heard)} moved the tug, and {heard.why}"
    return None


def _no_write(recording: Recording) -> str | None:
    if taken(recording) and not any(True for _ in recording.of("frame")):
        return f"{taken(recording)} orders were taken, and no colours were ever sent to the lamps"
    return None


def _one_lamp(recording: Recording) -> str | None:
    for heard in orders(recording):
        if heard.order is None or heard.order.lamps is None:
            continue
        shown = recording.lamps_at(heard.since + 0.5)
        lit = shown.count(heard.order.lamps[0])
        if 0 < lit < 5:
            return f"{_text(heard)} was shown on {lit} of the five lamps"
    return None


def _late(recording: Recording) -> str | None:
    waits = []
    took = iter([e.seconds for e in recording.of("message") if e.stage == "taken"])
    for heard in orders(recording):
        if heard.at is not None:
            waits.append(next(took, recording.seconds) - heard.at)
    slow = max(waits, default=0.0)
    if slow > 0.45 and taken(recording):
        return f"an order waited {slow:.1f} s on the board before the program took it"
    return None


def _joining() -> tuple[Mistake, ...]:
    return (
        Mistake(
            "what arrives is evaluated",
            "never give a message to eval or exec: whoever can send one could do anything with "
            "your board. json.loads reads data and nothing else.",
            _each(_evaluated),
        ),
        Mistake(
            "the network was not joined",
            "compare name and password with the lesson, letter by letter, and wait in a loop "
            "until isconnected() is true.",
            _each(_not_joined),
        ),
        Mistake("never connected to the broker", "call client.connect().", _each(_not_connected)),
        Mistake(
            "subscribe forgotten",
            "after every connect() call client.subscribe(ORDER, 1); the broker sends nothing that "
            "nobody asked for.",
            _each(_no_subscription),
        ),
        Mistake(
            "subscribed to the wrong topic",
            "a topic is compared letter by letter; print yours and compare it.",
            _each(_wrong_topic),
        ),
        Mistake(
            "never looked for messages",
            "messages are handled only within check_msg() or wait_msg(): one of them in the loop.",
            _each(_never_looked),
        ),
        Mistake(
            "no sign of life",
            "within the keep-alive time something must be sent: client.ping() every second or two.",
            _each(_fell_silent),
        ),
    )


LAMPS: tuple[Mistake, ...] = (
    *_joining(),
    Mistake(
        "write() forgotten",
        "lamps.fill(...) only notes a colour; lamps.write() sends it.",
        _each(_no_write),
    ),
    Mistake("only some lamps set", "lamps.fill(colour) sets all of them.", _each(_one_lamp)),
    Mistake(
        "messages wait too long",
        "look for messages at least ten times a second: check_msg(), and a short sleep.",
        _each(_late),
    ),
    Mistake(
        "a bad order was carried out",
        "check everything before you do anything: is it an object, are all names known, is each "
        "number of the right type and within its limits?",
        _each(_bad_lamps),
    ),
)


# -- radio.helm -----------------------------------------------------------------


def _legs(recording: Recording) -> Iterator[tuple[Heard, float, float, Heard | None]]:
    """Go through the good orders for the wheels: when each begins and ends, and the next one."""
    good = [h for h in orders(recording) if h.order and h.order.speed is not None]
    for k, heard in enumerate(good):
        assert heard.order
        following = good[k + 1] if k + 1 < len(good) else None
        yield heard, heard.since, heard.since + heard.order.seconds, following


def _slept_through(recording: Recording) -> str | None:
    took = [e.seconds for e in recording.of("message") if e.stage == "taken"]
    for heard, begin, end, following in _legs(recording):
        if following and following.since < end and heard.order and heard.order.speed:
            late = next((t for t in took if t > following.since), recording.seconds)
            if late > min(end, following.since + 1.0) - 0.1 and _moved_on(recording, heard, begin):
                return (
                    f"the order of {following.sent:.1f} s was taken {late - following.since:.1f} s "
                    "late, after the one before was over"
                )
    return None


def _moved_on(recording: Recording, heard: Heard, begin: float) -> bool:
    """Tell whether an order set the tug going the right way."""
    assert heard.order and heard.order.speed is not None
    went = moved(recording, begin + 0.5, begin + 1.5)
    return went * math.copysign(1, heard.order.speed) > 0.03


def _bends(recording: Recording) -> list[tuple[Heard, float]]:
    """Give the orders with a radius, and the curvature of what came of each, in 1/m."""
    found = []
    for heard, begin, end, following in _legs(recording):
        if heard.order and heard.order.radius:
            until = min(end, following.since) if following else end
            went = moved(recording, begin + 0.5, until)
            turned = recording.at("heading", until) - recording.at("heading", begin + 0.5)
            if abs(went) > 0.03:
                found.append((heard, turned / went))
    return found


def _wrong_side(recording: Recording) -> str | None:
    for heard, bend in _bends(recording):
        assert heard.order and heard.order.radius
        if bend * heard.order.radius < -0.3:
            side = "port" if heard.order.radius > 0 else "starboard"
            return f"{_text(heard)} asks for a curve to {side}, the tug went to the other side"
    return None


def _no_bend(recording: Recording) -> str | None:
    for heard, bend in _bends(recording):
        assert heard.order and heard.order.radius
        if abs(bend * heard.order.radius) < 0.15:
            return f"{_text(heard)} has a radius, the tug went nearly straight"
    return None


def _ratios(recording: Recording) -> list[tuple[Heard, float]]:
    """Give the orders to move, and what came of each speed over what was asked."""
    found = []
    for heard, begin, end, following in _legs(recording):
        if heard.order and heard.order.speed:
            until = min(end, following.since) if following else end
            speed = moved(recording, begin + 0.5, until) / (until - begin - 0.5)
            found.append((heard, speed / heard.order.speed))
    return found


def _backwards(recording: Recording) -> str | None:
    for heard, ratio in _ratios(recording):
        if ratio < -0.2:
            return f"{_text(heard)} made the tug go the other way"
    return None


def _one_speed(recording: Recording) -> str | None:
    ratios = [(h, r) for h, r in _ratios(recording) if r > 0.2]
    speeds = [abs(r * h.order.speed) for h, r in ratios if h.order and h.order.speed]
    asked = [abs(h.order.speed) for h, _ in ratios if h.order and h.order.speed]
    if len(speeds) > 3 and max(speeds) < 1.06 * min(speeds) and max(asked) > 1.2 * min(asked):
        return f"all orders gave about {speeds[0]:.2f} m/s, though they asked for different speeds"
    return None


def _too_short(recording: Recording) -> str | None:
    for heard, begin, end, _ in _legs(recording):
        if heard.order and heard.order.speed and end - begin > 1:
            times = recording.tracks["t"]
            early = [abs(v) for t, v in zip(times, recording.tracks["left"], strict=True)
                     if begin < t < begin + 0.3]  # fmt: skip
            if max(early) > 0.005 and abs(moved(recording, begin + 0.5, end)) < 0.005:
                return f"{_text(heard)} was over after less than half a second"
    return None


def _as_duty(recording: Recording) -> str | None:
    ratios = [ratio for _, ratio in _ratios(recording)]
    if len(ratios) > 3 and all(abs(ratio) < 0.45 for ratio in ratios):
        return "the speeds came to less than half of what was asked, or to nothing"
    return None


def _left_on(recording: Recording) -> str | None:
    for heard, begin, end, following in _legs(recording):
        after = following.since if following else recording.seconds
        if after - end > 1.2 and heard.order and heard.order.speed:
            far = moved(recording, end + 0.7, min(after, end + 1.7))
            if abs(far) > 0.02 and _moved_on(recording, heard, begin):
                return f"{_text(heard)} was over at {end:.1f} s, and the tug still went on"
    if still_driven(recording) and recording.ended != "time is up":
        return "the program had ended, and the motors were still driven"
    return None


def _wall(recording: Recording) -> str | None:
    for event in recording.of("touch"):
        if event.what == "wall":
            return f"the tug came to a wall at {event.seconds:.1f} s"
    return None


HELM: tuple[Mistake, ...] = (
    *_joining(),
    Mistake(
        "slept through an order",
        "time.sleep(seconds) hears nothing. Note when the order is over, with ticks_ms and "
        "ticks_add, and look at both, clock and radio, in every round of the loop.",
        _each(_slept_through),
    ),
    Mistake(
        "motors left on",
        "note when an order is over, and stop in the loop when that time has come.",
        _each(_left_on),
    ),
    Mistake(
        "ahead and astern exchanged",
        "a speed above 0 is ahead: see which input of each motor is high.",
        _each(_backwards),
    ),
    Mistake(
        "the curve goes to the wrong side",
        "a radius above 0 is to port: there the right wheel is the outer, faster one.",
        _each(_wrong_side),
    ),
    Mistake(
        "the radius is not used",
        "left: speed * (1 - TRACK / 2 / radius); right: speed * (1 + TRACK / 2 / radius).",
        _each(_no_bend),
    ),
    Mistake(
        "the speed is not used",
        "the effort of a wheel is its rest plus its gain times the speed that it should have.",
        _each(_one_speed),
    ),
    Mistake(
        "stops at once",
        "an order's time is in seconds, ticks_ms counts thousandths: 1000 * seconds.",
        _each(_too_short),
    ),
    Mistake(
        "speed taken for an effort",
        "0.2 m/s is no duty of 0.2: effort = rest + gain * speed, with your tug's own two numbers.",
        _each(_as_duty),
    ),
    Mistake(
        "a bad order was carried out",
        "check everything before you do anything, and refuse an order whole.",
        _each(_bad_moves),
    ),
    Mistake(
        "ran into a wall",
        "the speeds or the radii are far off: measure your tug's numbers again.",
        _each(_wall),
    ),
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


def _not_json(recording: Recording) -> str | None:
    for one in said(recording):
        if one.report is None:
            told_as = one.payload.decode("utf-8", "replace")[:50]
            return f"{told_as!r} at {one.at:.1f} s is no report: {one.why}"
    return None


def _done_anyway(recording: Recording) -> str | None:
    heard = orders(recording)
    for k, one in enumerate(heard):
        until = heard[k + 1].sent if k + 1 < len(heard) else recording.seconds
        for report in said(recording):
            if one.order is None and one.since <= report.at < until:
                if report.report and report.report.did != "refused":
                    return f"{_text(one)} was reported {report.report.did!r}, and {one.why}"
    return None


def _wrong_number(recording: Recording) -> str | None:
    numbers = {h.order.number for h in orders(recording) if h.order}
    for report in said(recording):
        if report.report and report.report.did == "done" and report.report.number not in numbers:
            return f"a report says number {report.report.number}, no order had that"
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
    if len(said(recording)) > 1.5 * (len(heard) + 1):
        return f"{len(said(recording))} reports for {len(heard)} orders"
    return None


def _at_most_once(recording: Recording) -> str | None:
    loose = [s for s in said(recording) if s.qos == 0]
    return f"the report at {loose[0].at:.1f} s went at QoS 0" if loose else None


def _not_announced(recording: Recording) -> str | None:
    reports = [s.report.did for s in said(recording) if s.report]
    if subscriptions(recording) and "joined" not in reports:
        return "no report says that it has joined"
    return None


REPORT: tuple[Mistake, ...] = (
    *_joining(),
    Mistake(
        "no report under the log topic",
        "publish under LOG: harbour/, the tug's name, /log.",
        _each(_no_report),
    ),
    Mistake(
        "a report that is no JSON",
        "json.dumps makes the text; str() of a dict has single quotes, which JSON has not.",
        _each(_not_json),
    ),
    Mistake(
        "reported as done what it should refuse",
        "report done only behind the last check and the last act.",
        _each(_done_anyway),
    ),
    Mistake("the wrong number", "give back the number of this very order.", _each(_wrong_number)),
    Mistake("a report again and again", "one report an order, not one a round.", _each(_often)),
    Mistake(
        "refusals are not reported",
        "where you catch the exception, report refused and str(fault) as why.",
        _each(_refusals_kept_quiet),
    ),
    Mistake("a refusal without its reason", "put str(fault) into why.", _each(_no_reason)),
    Mistake(
        "did not say that it is there",
        'report {"did": "joined"} once, after subscribing.',
        _each(_not_announced),
    ),
    Mistake(
        "reports at most once",
        "publish(LOG, text, qos=1) waits until the broker has it; at QoS 0 nobody knows.",
        _each(_at_most_once),
    ),
)


# -- radio.lost -----------------------------------------------------------------


def _losses(recording: Recording) -> list[tuple[float, str]]:
    """Give when network and broker were lost while the tug was under way, and which."""
    found = [(at, "network") for at, _ in radio(recording, "lost")]
    found += [(at, "broker") for at, detail in radio(recording, "broker") if detail == "down"]
    return sorted(p for p in found if abs(moved(recording, p[0] - 1, p[0])) > 0.03)


def _drives_on(recording: Recording) -> str | None:
    for at, what in _losses(recording):
        far = abs(moved(recording, at + 1.0, at + 2.0))
        if far > 0.01:
            return f"the {what} was lost at {at:.1f} s, and the tug went on for more than a second"
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


def _not_missed(recording: Recording) -> str | None:
    for at, detail in radio(recording, "cut"):
        if detail == "begins" and not any(at < s.at < at + 10 for s in told(recording)):
            closed = any(at < t < at + 10 for t, _ in radio(recording, "closed"))
            if closed:
                return "the broker noticed the loss, but had no will to publish"
            if any(t < at for t, _ in radio(recording, "connected")):
                return (
                    f"{at + 10:.0f} s, 10 s after the cut, the broker still held the tug for there"
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
    *_joining()[:-1],
    Mistake(
        "goes on driving without a link",
        "stop() first, wherever you notice a loss: isconnected() is false, or a call raises "
        "OSError. Nothing that waits may stand before it.",
        _each(_drives_on),
    ),
    _joining()[-1],
    Mistake(
        "did not subscribe again",
        "a clean session begins with no subscriptions: subscribe after every connect().",
        _each(_deaf_again),
    ),
    Mistake(
        "does not rejoin",
        "put joining, connecting and subscribing into the loop, under try and except OSError.",
        _each(_gave_up),
    ),
    Mistake(
        "the will goes to the wrong topic",
        "set_last_will(LOG, ...): the office listens there.",
        _each(_off_topic_will),
    ),
    Mistake(
        "the office is not told of a loss",
        "before connect(): set_last_will(LOG, ..., qos=1), and a keep-alive of a few seconds.",
        _each(_not_missed),
    ),
    Mistake("the will is no report", 'the will is {"did": "gone"}.', _each(_bad_will)),
    Mistake(
        "a bad order was carried out",
        "check everything before you do anything, and refuse an order whole.",
        _each(_bad_moves),
    ),
    Mistake(
        "did not say that it is there",
        'report {"did": "joined"} after each new subscription.',
        _each(_not_announced),
    ),
)
