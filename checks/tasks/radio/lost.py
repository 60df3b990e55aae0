"""Task `radio.lost`: the tug stops when its link is lost, comes back by itself, and is missed."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ...readings.radio import Heard, moved, wheels
from ...task import Criterion, Finding, criterion, share
from ...words import told_apart
from ..motors import switched_off
from ..orders import NOTHING_LEFT, SOON_S, ByRadio, Hit, Trial, by_order, tally
from .helm import END_S
from .passages import MOVING, refusal, stands_after

__all__ = [
    "BROKER",
    "LEARN_S",
    "NETWORK",
    "LostOrders",
    "comes_back",
    "goes",
    "learns",
    "losses",
    "refuses",
    "says_joined",
    "stops_without_broker",
    "stops_without_network",
    "went_as_ordered",
]

STOP_S, STOP_NONE_S = 1.0, 3.0
"""How long a tug may go on once its link is lost, in s: for all points, and for none."""
LEARN_S = 10.0
"""How long the office may be without knowing that a tug is gone, in s."""
REJOIN_S = 5.0
"""So long after network, broker or link are back it must hear orders again, in s."""
_ONE_WHEEL = 0.25
"""A wheel that rolls less than this share of the mean of the two does not drive."""
NETWORK, BROKER = ("lost", "harbour"), ("broker", "down")
"""What the radio notes when the network goes, and when the broker does."""


class LostOrders(ByRadio):
    """What the runs of the task say."""

    names = frozenset({"speed", "seconds", "number"})


def losses(trial: Trial, *kinds: tuple[str, str]) -> list[float]:
    """Give when something of the link was lost, in s."""
    return sorted(
        at for what, which in kinds for at, detail in trial.radio(what) if detail == which
    )


def went_as_ordered(trial: Trial, heard: Heard) -> float:
    """Give the mean speed the way that was ordered, in m/s; 0 or less if a wheel hardly turned."""
    assert heard.order and heard.order.speed
    begin, end = heard.since + SOON_S, heard.since + max(1.0, min(heard.order.seconds, 1.5))
    sign = math.copysign(1.0, heard.order.speed)
    left, right = (far * sign / (end - begin) for far in wheels(trial.recording, begin, end))
    mean = (left + right) / 2
    return mean if min(left, right) > _ONE_WHEEL * mean else min(mean, 0.0)


def _obeyed(trial: Trial, heard: Heard) -> Hit:
    hit = trial.reached(heard) and went_as_ordered(trial, heard) > MOVING
    return by_order(float(hit), trial, heard)


def _moves(trial: Trial) -> list[Heard]:
    return [heard for heard in trial.good if heard.order and heard.order.speed]


@criterion(
    "It obeys its first order",
    1,
    asks=f"under way within {SOON_S:g} s, the right way and with both wheels",
    essential=True,
)
def goes(seen: LostOrders) -> Finding:
    """Judge whether the first order set it going."""
    hits = [_obeyed(trial, _moves(trial)[0]) for trial in seen.trials if _moves(trial)]
    return tally(hits, "first orders set it going")


def _stops(seen: LostOrders, kind: tuple[str, str]) -> Iterator[Hit]:
    for trial in seen.trials:
        for at in losses(trial, kind):
            if abs(moved(trial.recording, at - 0.4, at)) <= MOVING * 0.4:  # though its order held
                yield Hit(0.0, trial, at, f"not under way when lost at {at:.1f} s")
                continue
            back = [t for t in trial.times("connected") if t > at]
            late = stands_after(trial, at, min([at + STOP_NONE_S, *back]))
            part = share(late, full=STOP_S, none=STOP_NONE_S - 0.05)
            words = f"lost at {at:.1f} s, still under way {told_apart(late, STOP_S, 1)} s later"
            if resumed(trial, at):
                part, words = part / 2, f"lost at {at:.1f} s, and under way again without an order"
            yield Hit(part, trial, at, words)


def resumed(trial: Trial, lost: float) -> bool:
    """Tell whether the tug stood after a loss and went on before any order had come."""
    back = next((t for t in trial.times("connected") if t > lost), None)
    if back is None or back - lost < STOP_S:
        return False
    until = min([h.since for h in trial.orders if h.since > lost], default=trial.recording.seconds)
    stood = abs(moved(trial.recording, back - 0.3, back)) < 0.003
    return stood and until > back + 0.5 and abs(moved(trial.recording, back, until - 0.1)) > 0.01


def _stops_when(kind: tuple[str, str], words: str) -> Criterion:
    @criterion(
        f"It stops when {words}",
        3,
        asks=f"at rest within {STOP_S:g} s, and up to the next order; less for each moment more, "
        f"nothing for {STOP_NONE_S:g} s, half if it goes on with the old order once it is back",
    )
    def judge(seen: LostOrders) -> Finding:
        return tally(_stops(seen, kind), f"times it stood within {STOP_S:g} s")

    return judge


stops_without_network = _stops_when(NETWORK, "the network is lost")
stops_without_broker = _stops_when(BROKER, "the broker is gone")


@criterion(
    "It rejoins and obeys again",
    3,
    asks=f"every later order within {SOON_S:g} s and the right way; each comes {REJOIN_S:g} s or "
    "more after network, broker or link are back",
)
def comes_back(seen: LostOrders) -> Finding:
    """Judge whether the orders after each loss were obeyed."""
    hits = [_obeyed(trial, heard) for trial in seen.trials for heard in _moves(trial)[1:]]
    return tally(hits, "orders after a loss were obeyed")


@criterion(
    "It reports each time that it has joined",
    1,
    asks="joined before each good order, after it has subscribed; half for one before that",
)
def says_joined(seen: LostOrders) -> Finding:
    """Judge whether it told each time that it was back."""
    hits = []
    for trial in seen.trials:
        sent = [heard.sent for heard in _moves(trial)]
        for before, after in zip([0.0, *sent], sent, strict=False):
            at = [one.at for one in trial.did("joined") if before < one.at < after]
            heard_from = [t for t, fits in trial.subscribed if fits and before < t < after]
            early = bool(at and heard_from) and at[-1] < heard_from[-1]
            words = f"before {after:.1f} s" + (" it said so before it had subscribed" * early)
            hits.append(Hit(0.5 if early else float(bool(at)), trial, after, words))
    return tally(hits, "times it reported joined")


@criterion(
    "The office learns that it is gone",
    2,
    asks=f"its will within {LEARN_S:g} s of each loss of the network and each cut, with did gone",
)
def learns(seen: LostOrders) -> Finding:
    """Judge whether the office heard that it was gone."""
    hits = []
    for trial in seen.trials:
        begins = [(at, "cut") for at in losses(trial, ("cut", "begins"))]
        begins += [(at, "loss of the network") for at in losses(trial, NETWORK)]
        for at, what in sorted(begins):
            there = any(t < at for t in trial.times("connected"))
            wills = [one.report for one in trial.wills if at < one.at < at + LEARN_S]
            hit = there and any(report and report.did == "gone" for report in wills)
            hits.append(Hit(float(hit), trial, at, f"the {what} at {at:.1f} s"))
    return tally(hits, "losses became known to the office")


@criterion(
    "It refuses bad orders",
    1,
    asks="no wheel moves by an order that breaks a rule of the table or has another name than "
    "`speed`, `seconds` and `number`, nothing of it is run; at rest within "
    f"{END_S:g} s of an order's end, and both motors off at the end of the trial, neither "
    "driven nor braked (braked is half the way to off); fewer points for each of this that fails, "
    "none from a third of it on",
)
def refuses(seen: LostOrders) -> Finding:
    """Judge whether nothing else moved it."""
    return seen.was_run or tally(_refusals(seen), "times nothing moved", none=NOTHING_LEFT)


def _refusals(seen: LostOrders) -> Iterator[Hit]:
    for trial, heard in seen.bad:
        if heard.came:
            yield refusal(trial, heard)
    for trial in seen.trials:
        for heard, end in ended_orders(trial):
            late = stands_after(trial, end, end + END_S + 0.3)
            yield Hit(float(late <= END_S), trial, end, f"the end of {heard.text}")
        off, words, at = switched_off(trial.recording)
        yield Hit(off, trial, at or trial.recording.seconds, words)


def ended_orders(trial: Trial) -> Iterator[tuple[Heard, float]]:
    """Go through the orders whose time was over before anything else came: with its end, in s."""
    for heard in _moves(trial):
        assert heard.order
        end = heard.since + heard.order.seconds
        later = [one.since for one in trial.orders if one.since > heard.since]
        later += [t for t in trial.times("lost", "broker", "cut") if t > heard.since]
        if heard.came and min([*later, trial.recording.seconds]) > end + END_S + 0.3:
            yield heard, end
