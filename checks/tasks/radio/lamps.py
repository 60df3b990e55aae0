"""Task `radio.lamps`: orders for the lamps are read safely and shown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from robotsim import LAMPS as LAMP_NAMES
from robotsim import PINS

from ...readings.radio import Heard
from ...task import Clues, Criterion, Finding, Mistake, Run, Task, criterion, mistake
from ..hearing import ENDED, JOINING, evaluated, obeyed_late
from ..orders import NOTHING_LEFT, SOON_S, ByRadio, Hit, Trial, by_order, tally
from .scripts import lamp_script

__all__ = ["LAMPS", "LampOrders", "lamps_on_order", "lamps_right", "short_chain"]

_ALL = len(LAMP_NAMES)


class LampOrders(ByRadio):
    """What the runs of the task say; an order has `lamps` and no other name."""

    names = frozenset({"lamps"})

    @property
    def shown_share(self) -> float:
        """The share of what good orders asked that was to be seen."""
        return tally(lamps_on_order(self), "").share


def lamps_right(trial: Trial, heard: Heard) -> int:
    """Give how many of the lamps show what a good order asks, once its time to be obeyed is over.

    None does where it never came, or found no program.
    """
    assert heard.order and heard.order.lamps
    if not trial.reached(heard):
        return 0
    shown, asked = trial.recording.lamps_at(heard.since + SOON_S), heard.order.lamps
    return sum(a == b for a, b in zip(shown, asked * (_ALL // len(asked)), strict=True))


def lamps_on_order(seen: ByRadio) -> Iterator[Hit]:
    """Go through the good orders for the lamps: each by the share of the lamps that show it.

    Left out is one in whose place another came before its time to be obeyed was over, and one for
    dark lamps that finds them dark.
    """
    for trial, heard in seen.good:
        # A radio that naps gets both at the same moment, one after the other.
        later = (one for one in trial.good if one.sent > heard.sent)
        if any(one.since < heard.since + SOON_S for one in later):
            continue
        lit = any(map(any, trial.recording.lamps_at(heard.since - 1e-6)))
        if not lit and not any(map(any, _colours(heard))):
            continue
        yield by_order(lamps_right(trial, heard) / _ALL, trial, heard)


def _obeyed_by(trial: Trial, bad: Heard) -> tuple[int, int, int] | None:
    """Give a colour that lamps took after a bad order and that no good one had asked for."""
    asked = {c for one in trial.good if one.sent < bad.since for c in _colours(one)}
    before = trial.recording.lamps_at(bad.since - 1e-6)
    for event in trial.recording.of("lamps"):
        if bad.since <= event.seconds <= bad.since + SOON_S:
            new = [c for c, old in zip(event.colours, before, strict=True) if c != old]
            strange = [tuple(c) for c in new if tuple(c) not in asked]
            if strange:
                return strange[0]
    return None


def _colours(heard: Heard) -> tuple[tuple[int, int, int], ...]:
    return heard.order.lamps if heard.order and heard.order.lamps else ()


@criterion(
    "It shows what good orders ask",
    4,
    asks=f"its very colour on all five lamps within {SOON_S:g} s of its arrival, for every good "
    "order",
    essential=True,
)
def shows(seen: LampOrders) -> Finding:
    hits = list(lamps_on_order(seen))
    left = sum(1 for _ in seen.good) - len(hits)
    aside = f"{left} left out, as they asked dark lamps of dark ones or were overtaken" * bool(left)
    return tally(hits, "good orders were shown on all five lamps", aside=aside)


@criterion(
    "It refuses bad orders",
    4,
    asks="no lamp changes by an order that breaks a rule of the table or has another name than "
    "`lamps`, and nothing of it is run; fewer points for each that is carried out, none from a "
    "third of them on; all in proportion to the good orders shown",
)
def refuses(seen: LampOrders) -> Finding:
    if seen.was_run:
        return seen.was_run
    hits = [_refusal(trial, heard) for trial, heard in seen.bad if heard.came]
    lost = sum(not heard.came for _, heard in seen.bad)
    # Who shows nothing cannot be moved by anything.
    return tally(
        hits, "bad orders changed nothing", aside=f"{lost} never reached the board" * bool(lost),
        times=seen.shown_share, none=NOTHING_LEFT,
    )  # fmt: skip


def _refusal(trial: Trial, heard: Heard) -> Hit:
    """Judge one bad order; that it was not obeyed is known only when the time for that is over."""
    obeyed = bool(_obeyed_by(trial, heard))
    lived = trial.ended > heard.since + SOON_S
    return by_order(float(lived and not obeyed), trial, heard, acted=obeyed)


@criterion(
    "It goes on listening",
    2,
    asks="it still listens at the end of each trial, and counts as far as good orders are shown",
)
def stays(seen: LampOrders) -> Finding:
    for trial in seen.trials:
        if trial.recording.ended != "time is up":
            words = f"the program ended at {trial.ended:.1f} s ({trial.recording.ended})"
            return Finding(0.0, words, at=trial.ended, trial=trial.number)
    part = seen.shown_share
    return Finding(part, f"it ran to the end of each trial, with {100 * part:.0f} % shown")


# -- mistakes -----------------------------------------------------------------


@mistake(
    "wrong pin for the lamps",
    f"the pin table says {PINS['lamps']}: NeoPixel(Pin({PINS['lamps']}), {_ALL}).",
    costs=[shows],
    explains=[refuses, stays],
)
def _wrong_pin(seen: LampOrders) -> Clues:
    for trial in seen.trials:
        pins = {event.data[0] for event in trial.recording.of("frame")}
        if pins and PINS["lamps"] not in pins:
            yield f"colours went out on pin {min(pins)}; the lamps hang on pin {PINS['lamps']}"


def short_chain(costs: Sequence[Criterion], explains: Sequence[Criterion] = ()) -> Mistake:
    """Make the mistake of too few lamps in the chain, for the criteria that it costs in a task."""

    @mistake(
        "chain set up too short",
        f"give the number of lamps, not the highest index: NeoPixel(Pin({PINS['lamps']}), {_ALL}).",
        costs=costs,
        explains=explains,
    )
    def look(seen: ByRadio) -> Clues:
        for trial in seen.trials:
            lengths = [len(event.data[2]) // 6 for event in trial.recording.of("frame")]
            if lengths and max(lengths) < _ALL:
                yield f"colours went out for {max(lengths)} lamps; the chain has {_ALL}"

    return look


@mistake(
    "write() forgotten",
    "lamps.fill(...) only notes a colour; lamps.write() sends it.",
    costs=[shows],
    explains=[refuses, stays],
    sure=False,
)
def _no_write(seen: LampOrders) -> Clues:
    for trial in seen.trials:
        if trial.took and not any(True for _ in trial.recording.of("frame")):
            yield f"{trial.took} orders were taken, and no colours were ever sent to the lamps"


@mistake(
    "only some lamps set",
    "lamps.fill(colour) sets all of them.",
    costs=[shows],
    explains=[refuses, stays],
)
def _some_lamps(seen: LampOrders) -> Clues:
    for trial, heard in seen.good:
        right = lamps_right(trial, heard)
        if 0 < right < _ALL and any(map(any, _colours(heard))):
            yield f"{heard.text} was shown on {right} of the five lamps"


@mistake(
    "a bad order was carried out",
    "check everything before you do anything: is it an object, are all names known, is each "
    "number of the right type and within its limits?",
    costs=[refuses],
)
def _bad_obeyed(seen: LampOrders) -> Clues:
    for trial, heard in seen.bad:
        colour = _obeyed_by(trial, heard) if heard.came else None
        if colour:
            yield f"{heard.text} made lamps show {colour}, and {heard.why}"


@mistake(
    "another colour than was asked",
    "the three parts are red, green, blue, in this order, just as they came.",
    costs=[shows],
    explains=[refuses, stays],
)
def _other_colour(seen: LampOrders) -> Clues:
    for trial, heard in seen.good:
        after = trial.recording.lamps_at(heard.since + SOON_S)
        before = trial.recording.lamps_at(heard.since - 1e-6)
        if heard.came and heard.waited < SOON_S and after != before:
            if len(set(after)) == 1 and not lamps_right(trial, heard):
                yield f"{heard.text} became {after[0]}"


@mistake(
    "a good order is not carried out",
    "print what you refuse, and why: a part may be 0 or 255 as well, and nothing but a broken "
    "rule is a reason.",
    costs=[shows],
    explains=[stays],
    sure=False,
)
def _good_refused(seen: LampOrders) -> Clues:
    for trial, heard in seen.good:
        after = trial.recording.lamps_at(heard.since + SOON_S)
        idle = after == trial.recording.lamps_at(heard.since - 1e-6)
        if heard.came and heard.waited < SOON_S and idle and not lamps_right(trial, heard):
            yield f"{heard.text} was taken at {heard.taken:.1f} s, and no lamp changed"


LAMPS = Task(
    id="radio.lamps",
    title="Read orders safely",
    program="orders.py",
    runs=(Run(14.5, air=lamp_script(1)), Run(14.5, seed=5, air=lamp_script(2))),
    criteria=(shows, refuses, stays),
    mistakes=(
        ENDED,
        evaluated([refuses]),
        *JOINING,
        _wrong_pin,
        _no_write,
        short_chain([shows], [refuses, stays]),
        _some_lamps,
        obeyed_late([shows], [refuses, stays]),
        _bad_obeyed,
        _other_colour,
        _good_refused,
    ),
    facts=LampOrders,
)
"""Ten points."""
