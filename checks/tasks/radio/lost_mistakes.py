"""Known mistakes of the task `radio.lost`: in losing the link, and in coming back."""

from __future__ import annotations

from collections.abc import Iterator

from ...readings.radio import Heard, moved, stirred, wheels
from ...task import Clues, Mistake, mistake
from .. import reports as told
from ..hearing import JOINING, evaluated, no_sign_of_life
from ..motors import left_braked
from ..orders import ByRadio, Trial
from .helm import END_S
from .lost import (
    BROKER,
    LEARN_S,
    NETWORK,
    STOP_S,
    LostOrders,
    comes_back,
    ended_orders,
    goes,
    learns,
    losses,
    refuses,
    resumed,
    says_joined,
    stops_without_broker,
    stops_without_network,
)
from .passages import moved_by, stands_after

__all__ = ["MISTAKES"]

STOPS = [stops_without_network, stops_without_broker]


def _orders(seen: ByRadio) -> Iterator[tuple[Trial, Heard, float, float]]:
    """Go through the orders to move that arrived: with when each begins, and a while later."""
    for trial, heard in seen.good:
        if heard.order is not None and heard.order.speed and heard.came:
            yield trial, heard, heard.since, heard.since + max(1.0, min(heard.order.seconds, 1.5))


@mistake(
    "goes on driving without a link",
    "stop() first, wherever you notice a loss: isconnected() is false, or a call raises OSError. "
    "Nothing that waits may stand before it.",
    explains=[*STOPS, comes_back],
)
def _drives_on(seen: LostOrders) -> Clues:
    for trial in seen.trials:
        for what, kind in (("network", NETWORK), ("broker", BROKER)):
            for at in losses(trial, kind):
                late = stands_after(trial, at, at + 3.0)
                if moved(trial.recording, at - 1, at) and late > STOP_S and not resumed(trial, at):
                    yield f"the {what} was lost at {at:.1f} s; the tug moved {late:.1f} s longer"


@mistake(
    "orders do not move it",
    "in heard, once the order is read, set the motors: drive(speed).",
    costs=[goes],
    explains=[*STOPS, comes_back],
)
def _stands(seen: LostOrders) -> Clues:
    known = list(_orders(seen))
    for ahead in (True, False):
        those = [one for one in known if one[1].order and ((one[1].order.speed or 0) > 0) == ahead]
        if those and not any(stirred(t.recording, begin, end) > 0.01 for t, _, begin, end in those):
            yield f"{those[0][1].text} arrived at {those[0][2]:.1f} s, and no wheel turned"


@mistake(
    "ahead and astern exchanged",
    "a speed above 0 is ahead, one below 0 is astern.",
    explains=[goes, *STOPS, comes_back],
)
def _otherwise(seen: LostOrders) -> Clues:
    for trial, heard, begin, end in _orders(seen):
        assert heard.order and heard.order.speed
        if moved(trial.recording, begin + 0.4, end) * heard.order.speed < -0.001:
            yield f"{heard.text} made the tug go the other way"


@mistake(
    "only one wheel is driven",
    "straight ahead both motors get the same.",
    explains=[goes, *STOPS, comes_back],
)
def _one_wheel(seen: LostOrders) -> Clues:
    for trial, heard, begin, end in _orders(seen):
        left, right = wheels(trial.recording, begin + 0.4, end)
        if min(abs(left), abs(right)) < 0.1 * max(abs(left), abs(right)) > 0.002:
            yield f"at {heard.text} the left wheel rolled {left:.2f} m, the right {right:.2f}"


@mistake(
    "stops before the order is over",
    "an order holds for its own seconds: until = ticks_add(ticks_ms(), int(1000 * seconds)). If "
    "something else stops the motors, a timer that waits for the loop: what holds the loop up? "
    "check_msg() returns at once, wait_msg() does not.",
    explains=[goes, *STOPS, comes_back],
)
def _over_too_soon(seen: LostOrders) -> Clues:
    for trial, heard, begin, _ in _orders(seen):
        assert heard.order
        ends = [t for t in trial.times("lost", "broker", "cut", "closed") if t > begin]
        until = min([begin + heard.order.seconds, *ends])
        began = stirred(trial.recording, begin, begin + 0.9) > 0.005
        if began and until - begin > 1.4 and stirred(trial.recording, until - 0.4, until) < 0.003:
            yield (
                f"{heard.text} came at {begin:.1f} s, and at {until:.1f} s the tug stood, "
                "though it was connected"
            )


@mistake(
    "goes on with the old order",
    "an order ends with the link: stop(), with until = None, and wait for the next one.",
    explains=[*STOPS, comes_back],
)
def _goes_on_after(seen: LostOrders) -> Clues:
    for trial in seen.trials:
        for at in losses(trial, NETWORK, BROKER):
            if resumed(trial, at):
                back = next(t for t in trial.times("connected") if t > at)
                yield f"it connected again at {back:.1f} s and drove, before a new order had come"


@mistake(
    "did not subscribe again",
    "a clean session begins with no subscriptions: subscribe after every connect().",
    costs=[comes_back],
    explains=[stops_without_broker, says_joined, refuses],
)
def _deaf_again(seen: LostOrders) -> Clues:
    for trial in seen.trials:
        back = trial.times("connected")
        for at, until in zip(back[1:], [*back[2:], trial.recording.seconds], strict=False):
            if until - at > 2 and not any(at <= t < until for t, _ in trial.subscribed):
                sent = [heard for heard in trial.orders if at < heard.sent < until]
                if sent and not any(heard.came for heard in sent):
                    yield f"it connected again at {at:.1f} s and did not subscribe again"


@mistake(
    "does not rejoin",
    "put joining, connecting and subscribing into the loop, under try and except OSError.",
    costs=[comes_back],
    explains=[stops_without_broker, says_joined, learns, refuses],
)
def _gave_up(seen: LostOrders) -> Clues:
    for trial in seen.trials:
        back = trial.times("connected")
        for at in losses(trial, NETWORK, BROKER):
            if back and not any(t > at for t in back):
                yield f"the link was lost at {at:.1f} s, and no new connection was made"


@mistake(
    "the old connection is kept",
    "look at isconnected() in every round; after a loss begin anew: connect, subscribe, and "
    "report that you have joined.",
    explains=[comes_back, says_joined, learns],
)
def _old_connection(seen: LostOrders) -> Clues:
    for trial in seen.trials:
        back = trial.times("connected")
        for at in losses(trial, NETWORK):
            again = next((t for t in trial.times("joined") if t > at), None)
            if again is None or not any(t < at for t in back):
                continue
            late = trial.recording.seconds > again + 4
            if late and not any(at < t < again + 4 for t in back):
                yield (
                    f"the network was lost at {at:.1f} s and joined again at {again:.1f} s, and no "
                    "new connection with the broker was made"
                )


@mistake(
    "the will goes to the wrong topic",
    "set_last_will(LOG, ...): the office listens there.",
    costs=[learns],
)
def _off_topic_will(seen: LostOrders) -> Clues:
    for trial in seen.trials:
        for _, detail in trial.radio("will"):
            if not detail.endswith(" " + trial.log):
                yield f"the will went to {detail.split(' ', 1)[1]!r}, not to {trial.log}"


@mistake(
    "the office is not told of a loss",
    "before connect(): set_last_will(LOG, ..., qos=1), and a keep-alive of a few seconds.",
    costs=[learns],
)
def _not_missed(seen: LostOrders) -> Clues:
    for trial in seen.trials:
        begins = losses(trial, ("cut", "begins"), NETWORK)
        for at in begins:
            until = at + LEARN_S
            if any(at < t < until for t in trial.times("will")):
                continue
            closed = [why for t, why in trial.radio("closed") if at < t < until]
            if any(not why.endswith("broker went down") for why in closed):
                yield f"the broker noticed the loss of {at:.1f} s, but had no will to publish"
            if any(t < at for t in trial.times("connected")):
                yield (
                    f"{LEARN_S:.0f} s after the loss of {at:.1f} s the broker still held the tug "
                    "for there"
                )


@mistake("the will is no report", 'the will is {"did": "gone"}.', costs=[learns])
def _bad_will(seen: LostOrders) -> Clues:
    for trial in seen.trials:
        for one in trial.wills:
            if one.report is None or one.report.did != "gone":
                yield f"the will says {one.payload[:40]!r}"


@mistake(
    "a bad order was carried out",
    "check everything before you do anything, and refuse an order whole.",
    costs=[refuses],
)
def _bad_obeyed(seen: LostOrders) -> Clues:
    for trial, heard in seen.bad:
        if heard.came and moved_by(trial, heard):
            yield f"{heard.text} moved the tug, and {heard.why}"


@mistake(
    "did not say that it is there",
    'report {"did": "joined"} after each new subscription.',
    costs=[says_joined],
)
def _silent_return(seen: LostOrders) -> Clues:
    yield from told.not_announced(seen)
    for trial in seen.trials:
        back, joined = len(trial.times("connected")), len(trial.did("joined"))
        if joined < back:
            yield f"it connected {back} times, and reported {joined} times that it has joined"


@mistake(
    "said too soon that it is there",
    'report {"did": "joined"} behind subscribe(): before that it hears no order.',
    costs=[says_joined],
)
def _announced_early(seen: LostOrders) -> Clues:
    for trial in seen.trials:
        heard_from = [t for t, fits in trial.subscribed if fits]
        for at, since in zip([one.at for one in trial.did("joined")], heard_from, strict=False):
            if at < since:
                yield f"it reported joined at {at:.2f} s and had subscribed at {since:.2f} s"


@mistake(
    "motors left on",
    "look in every round of the loop whether the order's time is over.",
    costs=[refuses],
)
def _left_on(seen: LostOrders) -> Clues:
    for trial in seen.trials:
        for heard, end in ended_orders(trial):
            if stands_after(trial, end, end + END_S + 0.3) > END_S:
                yield f"{heard.text} was over at {end:.1f} s, and the tug still went on"


MISTAKES: tuple[Mistake, ...] = (
    evaluated([refuses]),
    *JOINING[:-1],
    _goes_on_after,
    _drives_on,
    no_sign_of_life([goes, comes_back, says_joined, learns]),
    _stands,
    _otherwise,
    _one_wheel,
    _over_too_soon,
    _deaf_again,
    _gave_up,
    _old_connection,
    _off_topic_will,
    _not_missed,
    _bad_will,
    _bad_obeyed,
    _left_on,
    left_braked.bound(costs=[refuses]),
    _silent_return,
    _announced_early,
)
