"""Evidence of mistakes in steering by the line eyes and in stopping, read from recordings.

A function here gives the evidence in words, or None where the mistake was not made.
"""

from __future__ import annotations

from robotsim import Recording

from ...readings.line import EYE_PINS, LOST, Course, course, junction, looks
from ...readings.motion import SIDES, Way, at_rest, driven, still_driven
from ..drive.evidence import percent
from .eyes import motors

__all__ = [
    "astray",
    "at_junction",
    "biased",
    "coasts",
    "crawls",
    "ends_early",
    "gain_high",
    "gain_low",
    "goes_on",
    "in_wrong_order",
    "left_on",
    "on_off",
    "over_bar",
    "stands",
    "steered_little",
    "stops_early",
    "stuck",
    "wrong_sign",
]


_SPOT, _AT_ONCE = 0.03, 0.1
"""A tug that only turned on the spot stays within so many m, and ends so soon after it, in s."""


# -- steering ----------------------------------------------------------------


def stuck(recording: Recording) -> str | None:
    """The same steering whatever the eyes saw."""
    went = course(recording)
    span = went.steering
    if len(span) < 20:
        return None
    begin, end = went.t[span[0]], went.t[span[-1]]
    steers = [went.steer[k] for k in span[3:]]
    if max(steers) - min(steers) > 0.01:
        return None
    if abs(steers[0]) > 0.02 and abs(went.side[span[0]]) > 0.001:
        return None  # it decided, once, by what it saw
    for eye in range(4):
        counts = [look.value for look in looks(recording, eye) if begin <= look.time <= end]
        if len(counts) > 5 and max(counts) - min(counts) > 1000:
            return (
                f"eye {eye} read {min(counts)} to {max(counts)} from {begin:.1f} to {end:.1f} s, "
                "but the two motors' duties never changed"
            )
    return None


def steered_little(recording: Recording) -> str | None:
    """Steering so faint, whatever the eyes saw, that the tug went straight on."""
    went = course(recording)
    span = went.steering
    if len(span) < 20:
        return None
    most = max(abs(went.steer[k]) for k in span[3:])
    side = max((went.side[k] for k in span), key=abs)
    if most > 0.03 or abs(side) < 0.012:
        return None
    return (
        f"the line came to lie {1000 * abs(side):.0f} mm aside, and one motor never got more than "
        f"{percent(most)} more than the other"
    )


def _order(recording: Recording) -> list[int]:
    """Give the order in which the eyes are read, as far as it is always the same."""
    read = [EYE_PINS.index(e.data[0]) for e in recording.of("adc") if e.data[0] in EYE_PINS]
    order: list[int] = []
    for eye in read[-24:]:
        if eye in order:
            break
        order.append(eye)
    if order and read:
        first = read[0]
        if first in order:
            k = order.index(first)
            order = order[k:] + order[:k]
    return order


def in_wrong_order(recording: Recording) -> str | None:
    """Steering that does not follow the line, by eyes read in another order than they stand."""
    right, order = course(recording).right_way, _order(recording)
    if right is not None and right < 0.75 and order != sorted(order):
        pins = ", ".join(str(EYE_PINS[eye]) for eye in order)
        return (
            f"the pins are read in the order {pins}, and in {100 * (1 - right):.0f} % of the time "
            "it steered away from the line"
        )
    return None


def wrong_sign(recording: Recording) -> str | None:
    """Steering away from the line."""
    went = course(recording)
    right = went.right_way
    if right is None or right > 0.4:
        return None
    away = (k for k in went.steering if went.side[k] * went.steer[k] < 0)
    k = next(k for k in away if abs(went.side[k]) > 0.003)
    side, more = ("port", "left") if went.side[k] > 0 else ("starboard", "right")
    return (
        f"at {went.t[k]:.2f} s the line lay {1000 * abs(went.side[k]):.0f} mm to {side} and the "
        f"{more} motor got {percent(went.steer[k])} more: away from it"
    )


def on_off(recording: Recording) -> str | None:
    """Two or three kinds of steering, nothing between."""
    went = course(recording)
    kinds = {round(went.steer[k], 2) for k in went.span}
    if went.metres > 0.2 and 2 <= len(kinds) <= 3:
        told = ", ".join(f"{100 * kind:+.0f} %" for kind in sorted(kinds))
        return f"right less left was always one of {told}, however far the line was off"
    return None


def _turns(went: Course) -> int:
    """Count how often it changed from steering to one side to steering to the other."""
    signs = [went.steer[k] > 0 for k in went.span if abs(went.steer[k]) > 0.04]
    return sum(a != b for a, b in zip(signs, signs[1:], strict=False))


def gain_high(recording: Recording) -> str | None:
    """Weaving to and fro across the line."""
    went = course(recording)
    right = went.right_way
    if right is None or right < 0.5 or went.metres < 0.2 or went.weaving < 50:
        return None
    often = _turns(went) / (2 * went.seconds)
    if often < 0.8:
        return None
    return (
        f"it weaved {often:.1f} times a second and turned {went.weaving:.0f} degrees a metre more "
        "than the line does"
    )


def gain_low(recording: Recording) -> str | None:
    """Steering the right way, and not enough of it."""
    went = course(recording)
    right = went.right_way
    if right is None or right < 0.6 or not went.steering:
        return None
    k = went.steering[-1] if went.lost is not None else went.widest
    if abs(went.side[k]) < 0.012 or not 0 < went.side[k] * went.steer[k] < abs(went.side[k]):
        return None
    side, more = ("port", "right") if went.side[k] > 0 else ("starboard", "left")
    radius = went.bend_at(k)
    bend = f" in the bend of {radius:.2f} m" if radius < 1 else ""
    return (
        f"at {went.t[k]:.1f} s{bend} the line lay {1000 * abs(went.side[k]):.0f} mm to {side}, "
        f"and the {more} motor got only {percent(went.steer[k])} more"
    )


def crawls(recording: Recording) -> str | None:
    """A way without fault that took too long."""
    went = course(recording)
    speed = went.metres / went.seconds if went.seconds > 0 else 0.0
    if went.lost is None and went.metres > 0.5 and speed < 0.24:
        effort = max(went.drive[k] for k in went.span)
        if effort >= 0.6 and ends_early(recording):
            return None  # it was fast enough, and stood for the rest of the time
        return f"it made {speed:.2f} m/s, with a mean effort of at most {effort:.2f}"
    return None


def biased(recording: Recording) -> str | None:
    """A tug that keeps beside the line."""
    went = course(recording)
    sides = [went.side[k] for k in went.span]
    mean = sum(sides) / len(sides) if sides else 0.0
    if went.lost is None and went.metres > 0.3 and 0.008 < abs(mean) < LOST:
        side = "starboard" if mean > 0 else "port"
        return f"it kept {1000 * abs(mean):.0f} mm to {side} of the line on average"
    return None


# -- the end -----------------------------------------------------------------


def left_on(recording: Recording) -> str | None:
    """A program that has ended with motors driven."""
    sides = still_driven(recording)
    if not sides or recording.ended != "finished":
        return None
    duty = percent(driven(recording, sides[0])[-1].duty)
    verb = "were" if len(sides) == 2 else "was"
    ended = recording.ended_ns / 1e9
    return f"the program ended at {ended:.2f} s, but {motors(sides)} {verb} still driven, at {duty}"


def goes_on(recording: Recording) -> str | None:
    """A way that was done in time, and motors that were driven on."""
    went = course(recording)
    if went.end is None or recording.ended == "finished" or not still_driven(recording):
        return None
    return f"it was round at {went.t[went.end]:.1f} s, and drove on until the time was up"


def at_junction(recording: Recording) -> str | None:
    """A stop where the side line leaves."""
    went = course(recording)
    where = junction(went.table)
    if where is not None and at_rest(recording):
        off = went.gone[-1] - where
        if abs(off) < 0.05:
            return (
                f"it stopped {1000 * abs(off):.0f} mm from the junction, where only the eyes of "
                "one side and the middle are dark"
            )
    return None


def astray(recording: Recording) -> str | None:
    """A line that was left for the side line."""
    went = course(recording)
    where = junction(went.table)
    if where is None or went.end is not None:
        return None
    far = max(went.gone[: went.last + 1])
    if abs(far - where) > 0.06 or abs(went.aside[went.last]) < 0.025:
        return None
    return f"it came {far:.2f} m along the line, and at {where:.2f} m the side line leaves it"


def stops_early(recording: Recording) -> str | None:
    """A stop on the plain line, or an end at the first look."""
    went = course(recording)
    short = went.goal - went.gone[-1]
    if recording.ended == "finished" and went.begin is None and not still_driven(recording):
        ended = recording.ended_ns / 1e9
        return f"the program ended at {ended:.2f} s, before the tug had followed the line at all"
    if at_rest(recording) and went.lost is None and short > 0.02 and went.steering:
        return f"it stopped {short:.2f} m short of the bar, where there is only the line"
    return None


def stands(recording: Recording) -> str | None:
    """No motor driven once it has calibrated: nothing there yet, or nothing that drives."""
    went = course(recording)
    last = max((phase.end for side in SIDES for phase in driven(recording, side)), default=0.0)
    if went.begin is not None or not at_rest(recording) or Way.of(recording).farthest > _SPOT:
        return None
    if recording.ended == "finished" and recording.ended_ns / 1e9 > last + _AT_ONCE:
        return None  # it looked, and thought that it was there
    ends = [phases[-1].duty for side in SIDES if (phases := driven(recording, side))]
    if len(ends) == 2 and ends[0] * ends[1] > 0:
        return None  # it had set off
    return f"after {last:.1f} s no motor was driven any more, and the tug stands where it began"


def ends_early(recording: Recording) -> str | None:
    """A program that stopped the motors on its way, the line not lost."""
    went = course(recording)
    if recording.ended != "finished" or went.lost is not None or went.end is not None:
        return None
    if still_driven(recording):
        return None
    ended, far = recording.ended_ns / 1e9, max(went.gone)
    return f"the program ended at {ended:.2f} s, {far:.2f} m along a line of {went.goal:.2f} m"


def over_bar(recording: Recording) -> str | None:
    """A bar that was driven over."""
    went = course(recording)
    if went.end is not None and max(went.gone) - went.goal > 0.09:
        return f"it went over the bar at {went.t[went.end]:.2f} s and drove on"
    return None


def coasts(recording: Recording) -> str | None:
    """A stop shortly after the bar."""
    went = course(recording)
    past = went.gone[-1] - went.goal
    if went.end is not None and at_rest(recording) and 0.015 < past <= 0.09:
        return f"it stopped {1000 * past:.0f} mm past the bar's middle"
    return None
