"""Known mistakes of the task `radio.lamps`."""

from __future__ import annotations

from robotsim import Recording

from ...readings.radio import lamps_before, orders, taken
from ...task import Mistake
from .mistakes import ENDED, each, joining, late, text_of

__all__ = ["LAMPS"]


def _bad_lamps(recording: Recording) -> str | None:
    for heard in orders(recording):
        if heard.order is None and heard.at is not None:
            after = recording.lamps_at(heard.at + 0.4)
            if lamps_before(recording, heard.at) != after:
                return f"{text_of(heard)} changed the lamps, and {heard.why}"
    return None


def _other_colour(recording: Recording) -> str | None:
    for heard in orders(recording):
        if heard.order is not None and heard.order.lamps and heard.at is not None:
            shown = recording.lamps_at(heard.at + 0.4)
            changed = shown != lamps_before(recording, heard.at)
            if changed and len(set(shown)) == 1 and set(shown) != set(heard.order.lamps):
                return f"{text_of(heard)} became {shown[0]}"
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
            return f"{text_of(heard)} was shown on {lit} of the five lamps"
    return None


LAMPS: tuple[Mistake, ...] = (
    ENDED,
    *joining(),
    Mistake(
        "write() forgotten",
        "lamps.fill(...) only notes a colour; lamps.write() sends it.",
        each(_no_write),
    ),
    Mistake("only some lamps set", "lamps.fill(colour) sets all of them.", each(_one_lamp)),
    Mistake(
        "messages wait too long",
        "look for messages at least ten times a second: check_msg(), and a short sleep.",
        each(late),
    ),
    Mistake(
        "a bad order was carried out",
        "check everything before you do anything: is it an object, are all names known, is each "
        "number of the right type and within its limits?",
        each(_bad_lamps),
    ),
    Mistake(
        "another colour than was asked",
        "the three parts are red, green, blue, in this order, just as they came.",
        each(_other_colour),
    ),
)
