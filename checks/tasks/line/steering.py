"""Mistakes in steering by the line, as they are made in any task that follows one."""

from __future__ import annotations

from robotsim import Recording
from robotsim.recording import SAMPLE_NS
from robotsim.units import SECOND

from ...readings.line import EYE_PINS, LOST, junction
from ...readings.motion import SIDES, STILL, Phase, Way, at_rest, driven, still_driven
from ...task import Clues, Evidence
from ...words import percent
from ..trials import known
from .eyes import slow_rounds
from .trial import LOOKS_ON_S, Trial

__all__ = ["AWAY", "away_from_line", "sides_named", "stopped_on_its_way"]

_SPOT, _AT_ONCE = 0.03, 0.1
"""A tug that only turned on the spot stays within so many m, and ends so soon after it, in s."""
_NEVER_SO_FAR = 0.5
"""Who steers away from a line is off it long before so many metres."""
_LONG_S, _MOSTLY = 1.0, 0.95
"""Who is driven for so long, in s, and stands for that share of it, does not get going."""


def sides_named(aside: float) -> tuple[str, str]:
    """Name the side that the line lies to, and the motor that then must get more."""
    return ("port", "right") if aside > 0 else ("starboard", "left")


@known(
    "it does not set off",
    "below the imports goes the loop: look, decide, `drive(left, right)`, sleep.",
)
def stands(one: Trial) -> Clues:
    recording, went = one.recording, one.went
    if went.begin is not None or not at_rest(recording) or Way.of(recording).farthest > _SPOT:
        return
    ends = [phases[-1] for side in SIDES if (phases := driven(recording, side))]
    last = max((phase.end for phase in ends), default=0.0)
    if one.looked_on_s > LOOKS_ON_S and not _under_way(ends):
        yield Evidence(
            f"from {last:.1f} s on it looked for {one.looked_on_s:.1f} s, with no motor driven, "
            "and the tug stands where it began",
            "each branch of the loop must call `drive(left, right)`; and where no side is the "
            "darker one perhaps none is met: drive ahead once before the loop as well.",
        )
    if one.looked_and_ended or (one.finished and one.ended_s > last + _AT_ONCE):
        return
    if _under_way(ends):
        return
    yield f"after {last:.1f} s no motor was driven any more, and the tug stands where it began"


def _under_way(lasts: list[Phase]) -> bool:
    """Tell whether both motors were driven the same way at last: then it had set off."""
    return len(lasts) == 2 and lasts[0].duty * lasts[1].duty > 0


@known(
    "too little effort to start",
    "a tug starts at an effort of 0.15 to 0.25: drive both wheels harder.",
)
def too_weak(one: Trial) -> Clues:
    went, tracks = one.went, one.recording.tracks
    ahead = [k for k, drive in enumerate(went.drive) if drive > 0.0]
    still = [k for k in ahead if all(abs(tracks[side][k]) <= STILL for side in SIDES)]
    seconds = len(ahead) * SAMPLE_NS / SECOND
    if went.begin is None and seconds > _LONG_S and len(still) > _MOSTLY * len(ahead):
        most = max(went.drive[k] for k in ahead)
        yield (
            f"driven ahead for {seconds:.1f} s with a mean effort of at most {most:.2f}, it "
            "stood still"
        )


@known(
    "threshold outside the readings",
    "print what the eyes read: the threshold must lie between white and black, "
    "`(white[k] + black[k]) / 2` for each eye.",
)
def stuck(one: Trial) -> Clues:
    went, span = one.went, one.went.steering
    steers = [went.steer[k] for k in span[3:]]
    if len(span) < 20 or max(steers) - min(steers) > 0.01:
        return
    if abs(steers[0]) > 0.02 and abs(went.side[span[0]]) > 0.001:
        return  # it decided, once, by what it saw
    if _order(one.recording) != sorted(_order(one.recording)):
        return  # what it compares may well be another eye's count
    begin, end = went.t[span[0]], went.t[span[-1]]
    for eye, pin in enumerate(EYE_PINS):
        events = one.recording.of("adc", pin=pin)
        counts = [int(e.data[1]) for e in events if begin <= e.seconds <= end]
        if len(counts) > 5 and max(counts) - min(counts) > 1000:
            yield (
                f"eye {eye} read {min(counts)} to {max(counts)} from {begin:.1f} to {end:.1f} s, "
                "but the two motors' duties never changed"
            )


@known(
    "steers hardly at all",
    "6 mm aside should give a difference that can be seen, 0.2 or more: is `KP` still 0, or the "
    "position in another unit than mm?",
)
def steers_little(one: Trial) -> Clues:
    went, span = one.went, one.went.steering
    if len(span) < 20:
        return
    most = max(abs(went.steer[k]) for k in span[3:])
    side = max((went.side[k] for k in span), key=abs)
    if most <= 0.03 and abs(side) >= 0.012:
        yield (
            f"the line came to lie {1000 * abs(side):.0f} mm aside, and one motor never got more "
            f"than {percent(most)} more than the other"
        )


def _order(recording: Recording) -> list[int]:
    """Give the order in which the eyes are read, as far as it is always the same."""
    read = [EYE_PINS.index(e.data[0]) for e in recording.of("adc") if e.data[0] in EYE_PINS]
    order: list[int] = []
    for eye in read[-24:]:
        if eye in order:
            break
        order.append(eye)
    if order and read[0] in order:
        k = order.index(read[0])
        order = order[k:] + order[:k]
    return order


@known(
    "eyes in the wrong order",
    "from port to starboard the pins are 36, 39, 34, 35: eye 0 is pin 36, eye 3 pin 35.",
)
def wrong_order(one: Trial) -> Clues:
    right, order = one.went.right_way, _order(one.recording)
    if order == sorted(order) or len(one.went.steering) < 20:
        return
    pins = ", ".join(str(EYE_PINS[eye]) for eye in order)
    if right is None:
        yield f"the pins are read in the order {pins}, and the steering did not follow the line"
    elif right < 0.75:
        yield (
            f"the pins are read in the order {pins}, and in {100 * (1 - right):.0f} % of the time "
            "it steered away from the line"
        )


def away_from_line(one: Trial) -> Clues:
    """Tell of steering away from the line."""
    went, right = one.went, one.went.right_way
    if right is not None and right <= 0.4 and went.metres < _NEVER_SO_FAR:
        for k in went.steering:
            if went.side[k] * went.steer[k] < -0.003 * 0.01:
                (side, _), (_, more) = sides_named(went.side[k]), sides_named(went.steer[k])
                aside = f"{1000 * abs(went.side[k]):.0f} mm to {side}"
                yield (
                    f"at {went.t[k]:.2f} s the line lay {aside} and the {more} motor got "
                    f"{percent(went.steer[k])} more: away from it"
                )


wrong_sign = known(
    "correction with the wrong sign",
    "line to port: the right motor must get more than the left one. Change the sign; or are left "
    "and right exchanged, or black and white?",
)(away_from_line)


# -- how much ----------------------------------------------------------------


@known(
    "gain too low",
    "the tug steers the right way but too little for the bend: steer more for the same error, or "
    "drive slower.",
)
def gain_low(one: Trial) -> Clues:
    went, right = one.went, one.went.right_way
    if right is None or right < 0.6 or not went.steering:
        return
    k = went.steering[-1] if went.lost is not None else went.widest
    if abs(went.side[k]) < 0.012 or not 0 < went.side[k] * went.steer[k] < abs(went.side[k]):
        return
    side, more = sides_named(went.side[k])
    radius = went.bend_at(k)
    bend = f" in the bend of {radius:.2f} m" if radius < 1 else ""
    yield (
        f"at {went.t[k]:.1f} s{bend} the line lay {1000 * abs(went.side[k]):.0f} mm to {side}, "
        f"and the {more} motor got only {percent(went.steer[k])} more"
    )


@known(
    "same scale for unequal eyes",
    "measure each eye against its own white and black: "
    "`(count - white[k]) / (black[k] - white[k])`.",
    sure=False,
)
def biased(one: Trial) -> Clues:
    went = one.went
    sides = [went.side[k] for k in went.span]
    mean = sum(sides) / len(sides) if sides else 0.0
    if went.lost is None and went.metres > 0.3 and 0.008 < abs(mean) < LOST:
        side = "starboard" if mean > 0 else "port"
        yield f"it kept {1000 * abs(mean):.0f} mm to {side} of the line on average"


@known(
    "led astray by the junction",
    "over the plain line no more than two eyes are dark: while the four add up to more than 2.2, "
    "keep the last position; and divide by their sum.",
)
def astray(one: Trial) -> Clues:
    went, where = one.went, junction(one.went.table)
    if where is None or went.end is not None or any(stopped_on_its_way(one)):
        return  # who stopped there was not led away
    far = max(went.gone[: went.last + 1])
    if abs(far - where) <= 0.06 and abs(went.aside[went.last]) >= 0.025:
        yield f"it came {far:.2f} m along the line, and at {where:.2f} m the side line leaves it"


def stopped_on_its_way(one: Trial) -> Clues:
    """Tell of a program that stopped the motors on its way, the line not lost."""
    went = one.went
    if one.looked_on_s > LOOKS_ON_S:
        return  # it did not stop on its way: it never drove there
    if one.finished and went.lost is None and went.end is None and not still_driven(one.recording):
        yield (
            f"the program ended at {one.ended_s:.2f} s, {max(went.gone):.2f} m along a line of "
            f"{went.goal:.2f} m"
        )


AWAY = (stuck, slow_rounds, wrong_order, wrong_sign)
"""What leads away from the line, whatever the law."""
