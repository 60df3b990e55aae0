"""Waiting for orders: what is asked of it, and what goes wrong with orders."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from robotsim.radio import order_topic

from ...readings.radio import Heard
from ...task import Clues, Criterion, Finding, Mistake, share
from ...words import told_apart
from ..hearing import ENDED, JOINING, evaluated
from ..trials import judged, known
from .voyage import CREEP, GO_S, HALT_S, Voyage

__all__ = ["by_order", "goes_not_on", "runs_on", "sets_off", "stands", "straight", "waits"]

_TOO_FAR = 0.04
"""A wheel that comes so far in a wait, in m, earns nothing for it."""
_ALIKE, _UNLIKE = 0.8, 0.3
"""Straight ahead the slower wheel rolls at least so much of the faster one's way: what earns all,
and half. With the same effort for both it is 0.47 on the worst of 51 tugs, at an effort of 0.25."""
_SAME_EFFORT = 0.02
_HINT = "motors off first; then join, report, and drive only when an order to go has come."


class Hit(NamedTuple):
    """One of several things that were asked: how far it was done, when, and what it was."""

    share: float
    at: float
    name: str


def counted_up(hits: Sequence[Hit], what: str) -> Finding:
    """Give the mean of several things, in words of how many were done and of the first not done."""
    done = sum(hit.share >= 1.0 for hit in hits)
    words = f"{done} of {len(hits)} {what}"
    missed = next((hit for hit in hits if hit.share < 1.0), None)
    if missed is None:
        return Finding(1.0, words)
    mean = sum(hit.share for hit in hits) / len(hits)
    return Finding(mean, f"{words}; not: {missed.name}", at=missed.at)


def _off(one: Voyage) -> Iterator[Hit]:
    for heard in one.goes:
        name = f"the order of {heard.sent:.1f} s"
        part = float(one.set_off(heard))
        if part and not straight(one, heard):
            left, right = one.rolled_by(heard)
            name += f", not straight ahead: left wheel {100 * left:.0f} cm, right wheel "
            name += f"{100 * right:.0f} cm"
            less, more = sorted((left, right))
            short = _ALIKE - (less / more if more > 0 else 0.0)
            part = 0.5 + 0.5 * share(short, full=0.0, none=_ALIKE - _UNLIKE)
        yield Hit(part, heard.since, name)


def straight(one: Voyage, heard: Heard) -> bool:
    """Tell whether both wheels rolled ahead alike just after an order, or were driven alike."""
    less, more = sorted(one.rolled_by(heard))
    weak, strong = sorted(one.efforts(heard))
    return less > 0.0 and (less >= _ALIKE * more or strong - weak <= _SAME_EFFORT)


def _sets_off(one: Voyage) -> Finding:
    return counted_up(list(_off(one)), "orders to go set it going")


def sets_off(points: float) -> Criterion:
    """Make the criterion of the orders to go; without it nothing counts."""
    asks = f"each within {GO_S:g} s, straight ahead: both motors get the same effort, or in that "
    asks += f"time the slower wheel rolls at least {_ALIKE:g} of the faster one's way; down to "
    asks += "half for one that sets off otherwise"
    return Criterion(
        "It sets off on an order", points,
        judged(_sets_off), essential=True, asks=asks,
    )  # fmt: skip


def _stands(one: Voyage) -> Iterator[Hit]:
    for wait in one.waits:
        far = one.rolled(wait.begin, wait.end)
        name = f"{wait.why} a wheel rolled {told_apart(100 * far, 100 * CREEP, 0)} cm"
        yield Hit(share(far, full=CREEP, none=_TOO_FAR), wait.begin, name)


def stands(one: Voyage) -> Finding:
    """Judge whether it stood whenever it was to wait."""
    if not one.went_off:
        return Finding(0.0, "it never went at all")
    return counted_up(list(_stands(one)), "times it stood and waited")


def waits(title: str, points: float, when: str) -> Criterion:
    """Make the criterion of standing whenever it is to wait."""
    asks = f"it stands {when}: from {HALT_S:g} s after that on no wheel rolls {1000 * CREEP:g} mm; "
    asks += f"nothing for a wait in which one rolls {100 * _TOO_FAR:.0f} cm"
    return Criterion(title, points, judged(stands), asks=asks)


# -- what goes wrong -------------------------------------------------------------


def _unjoined(one: Voyage) -> Clues:
    begin = next((at for at, _ in one.subscribed), 0.0)
    if (far := one.rolled(0.0, begin)) > CREEP:
        yield f"a wheel rolled {100 * far:.0f} cm before it had joined"


def _at_once(one: Voyage) -> Clues:
    first = one.waits[0]
    if not one.stood(first):
        yield f"a wheel rolled {100 * one.rolled(first.begin, first.end):.0f} cm {first.why}"


def _deaf(one: Voyage) -> Clues:
    for heard in one.halts if one.subscribed and one.took else ():
        if heard.taken is None and heard.came:
            yield f"the order to stop of {heard.sent:.1f} s was never taken from the radio"
        elif heard.waited > HALT_S:
            yield (
                f"the order to stop of {heard.sent:.1f} s waited {heard.waited:.1f} s on the board"
            )


def _ignores_stop(one: Voyage) -> Clues:
    wait = next((wait for wait in one.waits if "to stop" in wait.why), None)
    if wait is not None and not one.stood(wait):
        yield f"{wait.why} of {one.halts[0].sent:.1f} s it went on"


def _stranger(one: Voyage) -> Clues:
    own = order_topic(one.recording.serial)
    if not one.stood(one.waits[0]):
        for event in one.recording.of("message"):
            if event.stage == "arrived" and event.topic != own:
                yield (
                    f"at {event.seconds:.1f} s an order under {event.topic!r} came to it, and it "
                    "went"
                )


def _bad_obeyed(one: Voyage) -> Clues:
    off = one.driven_from
    took = [e.seconds for e in one.recording.of("message") if e.stage == "taken"]
    for bad, following in itertools.pairwise(one.orders):
        read = any(bad.since <= t < off for t in took)
        if bad.order is None and read and bad.since < off < min(following.since, one.waits[0].end):
            yield f"{bad.text} set it going, and {bad.why}"


def by_order(waits: Criterion) -> tuple[Mistake, ...]:
    """Give what goes wrong on the way to an order, and with orders.

    Args:
        waits: The task's criterion of standing whenever it is to wait.
    """
    return (
        known("does not wait for the order", _HINT, costs=[waits])(_unjoined),
        evaluated(()),
        *JOINING,
        ENDED,
        known(
            "orders for another tug are obeyed",
            "subscribe to your own tug's topic only, letter by letter: + and # take those of "
            "others.",
        )(_stranger),
        known(
            "a bad order is obeyed",
            "next_order() of wireless.py refuses what is no order; if you have written your own, "
            "check every name, type and limit before you do anything.",
        )(_bad_obeyed),
        known("does not wait for the order", _HINT)(_at_once),
        known(
            "deaf on the way",
            "look for messages in every round, also while the tug is under way: no loop within the "
            "loop, no long sleep.",
        )(_deaf),
        known(
            "does not obey the order to stop",
            "speed 0 means stop at once, whatever the tug is doing: motors off, and the state is "
            "waiting again.",
        )(_ignores_stop),
    )


def runs_on(waits: Criterion, reports: Criterion) -> Mistake:
    """Make the mistake of going on when an order's time is over."""

    @known(
        "goes on when its time is over",
        "note when the order ends, and compare with the clock in every round.",
        costs=[waits],
        explains=[reports],
    )
    def look(one: Voyage) -> Clues:
        for wait in one.waits:
            if "time was over" in wait.why and not one.stood(wait):
                yield f"{wait.why}, at {wait.begin - HALT_S:.1f} s, a wheel went on turning"

    return look


def goes_not_on(costs: Sequence[Criterion] = (), explains: Sequence[Criterion] = ()) -> Mistake:
    """Make the mistake of taking an order to go, after the first, and not carrying it out."""

    @known(
        "does not carry out the next order",
        "after each order, whether stopped or at its end, the state is waiting: the next order to "
        "go starts the tug like the first.",
        costs=costs,
        explains=explains,
    )
    def look(one: Voyage) -> Clues:
        first, *later = one.goes
        for heard in later:
            took_soon = heard.taken is not None and heard.waited < GO_S / 2
            if one.set_off(first) and took_soon and not one.set_off(heard):
                yield f"it took the order of {heard.sent:.1f} s and did not set off again"

    return look
