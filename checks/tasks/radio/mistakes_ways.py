"""Known mistakes in driving by order, in the lesson `radio`."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from robotsim import Recording

from ...readings.motion import driven, still_driven
from ...readings.radio import Heard, moved, orders, stirred
from ...task import Mistake
from .mistakes import ENDED, each, joining, late, text_of

__all__ = ["HELM", "bad_moves", "left_on"]


def bad_moves(recording: Recording) -> str | None:
    """Tell of a bad order that set the tug going."""
    for heard in orders(recording):
        before = stirred(recording, heard.since - 0.3, heard.since - 0.02)
        far = stirred(recording, heard.since, heard.since + 0.59)
        if heard.order is None and far > 0.01 > before:
            return f"{text_of(heard)} moved the tug, and {heard.why}"
    return None


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
            late = next((t for t in took if t >= following.since), recording.seconds)
            if not _moved_on(recording, heard, begin):
                continue
            if late > min(end, following.since + 1.0) - 0.1:
                return (
                    f"the order of {following.sent:.1f} s was taken {late - following.since:.1f} s "
                    "late, after the one before was over"
                )
            until = min(end, following.since + 2.0)
            went = moved(recording, following.since + 0.5, until) * heard.order.speed
            asked = following.order.speed if following.order else None
            stop = asked == 0 and late - following.since < 0.6  # heard, and not obeyed
            turned = not stop and (asked or 0.0) * heard.order.speed <= 0
            if turned and went > 0.03 * abs(heard.order.speed):
                return (
                    f"the order of {following.sent:.1f} s came while that of {heard.sent:.1f} s "
                    "was running, and the tug went on with the old one"
                )
    return None


def _backwards_alone(recording: Recording) -> str | None:
    """The other way than ordered, while no order before was running."""
    over = 0.0
    for heard, begin, end, following in _legs(recording):
        until = min(end, following.since) if following else end
        if heard.order and heard.order.speed and begin > over:
            if moved(recording, begin + 0.5, until) * heard.order.speed < -0.001:
                return f"{text_of(heard)} made the tug go the other way"
        over = max(over, end + 1.0)
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
            return f"{text_of(heard)} asks for a curve to {side}, the tug went to the other side"
    return None


def _no_bend(recording: Recording) -> str | None:
    for heard, bend in _bends(recording):
        assert heard.order and heard.order.radius
        if abs(bend * heard.order.radius) < 0.15:
            return f"{text_of(heard)} has a radius, the tug went nearly straight"
    return None


def _bent(sharp: bool) -> Callable[[Recording], str | None]:
    """Look for curves that are all too tight, or all too wide."""

    def look(recording: Recording) -> str | None:
        found = _bends(recording)
        ratios = [bend * h.order.radius for h, bend in found if h.order and h.order.radius]
        if ratios and (min(ratios) > 1.4 if sharp else 0.15 < max(ratios) < 0.7):
            heard, bend = found[0]
            return f"{text_of(heard)} became a radius of {1 / bend:.2f} m"
        return None

    return look


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
            return f"{text_of(heard)} made the tug go the other way"
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
            still = not any(p.begin < begin + 0.8 < p.end for p in driven(recording, "left"))
            if still and max(early) > 0.005 and abs(moved(recording, begin + 0.5, end)) < 0.005:
                return f"{text_of(heard)} was over after less than half a second"
    return None


def _as_duty(recording: Recording) -> str | None:
    ratios = [ratio for _, ratio in _ratios(recording)]
    if len(ratios) > 3 and all(abs(ratio) < 0.45 for ratio in ratios):
        return "the speeds came to less than half of what was asked, or to nothing"
    return None


def _other_numbers(recording: Recording) -> str | None:
    """Straight orders that gave another speed, or no straight way."""
    for heard, begin, end, following in _legs(recording):
        if heard.order and heard.order.speed and not heard.order.radius:
            until = min(end, following.since) if following else end
            went = moved(recording, begin + 0.5, until)
            speed = went / (until - begin - 0.5)
            turned = recording.at("heading", until) - recording.at("heading", begin + 0.5)
            if abs(went) > 0.03 and abs(turned / went) > 0.6:
                return (
                    f"{text_of(heard)} is straight on, and became a radius of {went / turned:.2f} m"
                )
            if abs(speed / heard.order.speed - 1) > 0.1:
                return f"{text_of(heard)} became {speed:.2f} m/s"
    return None


def left_on(recording: Recording) -> str | None:
    """Tell of a tug that goes on after its order is over, or after its program."""
    for heard, begin, end, _ in _legs(recording):
        later = (h.since for h in orders(recording) if h.since > heard.since)
        after = next(later, recording.seconds)  # a bad order may have moved it on
        if after - end > 0.75 and heard.order and heard.order.speed:
            far = moved(recording, end + 0.45, min(after, end + 1.45))
            if abs(far) > 0.01 and _moved_on(recording, heard, begin):
                return f"{text_of(heard)} was over at {end:.1f} s, and the tug still went on"
        if after - end > 0.75 and heard.order and not heard.order.speed:
            if abs(moved(recording, begin + 0.45, min(after, begin + 1.45))) > 0.01:
                return f"{text_of(heard)} asked it to stop, and the tug still went on"
    if still_driven(recording) and recording.ended != "time is up":
        return "the program had ended, and the motors were still driven"
    return None


def _wall(recording: Recording) -> str | None:
    for event in recording.of("touch"):
        if event.what == "wall":
            return f"the tug came to a wall at {event.seconds:.1f} s"
    return None


HELM: tuple[Mistake, ...] = (
    ENDED,
    *joining(),
    Mistake(
        "ahead and astern exchanged",
        "a speed above 0 is ahead, one below 0 astern: see which input of each motor is high.",
        each(_backwards_alone),
    ),
    Mistake(
        "slept through an order",
        "who sleeps or waits, in heard or in the loop, hears nothing. Note when the order is over, "
        "with ticks_ms and ticks_add, and look at clock and radio in every round of the loop.",
        each(_slept_through),
    ),
    Mistake(
        "motors left on",
        "note when an order is over, and stop in the loop when that time has come; there use "
        "check_msg(), for wait_msg() holds up the loop. A speed of 0 stops at once.",
        each(left_on),
    ),
    Mistake(
        "ahead and astern exchanged",
        "a speed above 0 is ahead: see which input of each motor is high.",
        each(_backwards),
    ),
    Mistake(
        "the curve goes to the wrong side",
        "a radius above 0 is to port: there the right wheel is the outer, faster one.",
        each(_wrong_side),
    ),
    Mistake(
        "the speed is not used",
        "the effort of a wheel is its rest plus its gain times the speed that it should have.",
        each(_one_speed),
    ),
    Mistake(
        "stops at once",
        "an order's time is in seconds, ticks_ms counts thousandths: 1000 * seconds.",
        each(_too_short),
    ),
    Mistake(
        "speed taken for an effort",
        "0.2 m/s is no duty of 0.2: effort = rest + gain * speed, with your tug's own two numbers.",
        each(_as_duty),
    ),
    Mistake(
        "a bad order was carried out",
        "check everything before you do anything, and refuse an order whole.",
        each(bad_moves),
    ),
    Mistake(
        "numbers that are not this tug's",
        "measure REST and GAIN of each wheel with measure.py, on this tug, and see that left is "
        "left.",
        each(_other_numbers),
    ),
    Mistake(
        "the radius is not used",
        "left: speed * (1 - TRACK / 2 / radius); right: speed * (1 + TRACK / 2 / radius).",
        each(_no_bend),
    ),
    Mistake(
        "the curves are too tight",
        "each wheel is half the track away from the middle: TRACK / 2 / radius.",
        each(_bent(True)),
    ),
    Mistake(
        "the curves are too wide",
        "one wheel becomes slower, the other as much faster: 1 - bend and 1 + bend.",
        each(_bent(False)),
    ),
    Mistake(
        "messages wait too long",
        "look for messages at least ten times a second: check_msg(), and a short sleep.",
        each(late),
    ),
    Mistake(
        "ran into a wall",
        "the speeds or the radii are far off: measure your tug's numbers again.",
        each(_wall),
    ),
)
