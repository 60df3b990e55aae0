"""Task `arm.pulses`: three angles, given as pulses on three scales."""

from __future__ import annotations

import math
from functools import cached_property

from ...readings.arm import FRAME_US, Train, angles, held, pulses, trains, us_of
from ...task import Clues, Criterion, Facts, Finding, Run, Task, criterion, mistake, share
from ...words import amount
from . import servo

__all__ = ["PULSES", "Pulses"]

ASKED = (-45.0, 0.0, 30.0)
"""The angles in degrees, in order."""
SCALES = ("duty_ns", "duty_u16", "duty")
"""By which each is given."""
OFF_US, FAR_OFF_US = 6.0, 25.0
"""So far off a pulse earns all, and nothing; the board itself allows 6 us on its finest scale,
and a step of the coarse one is 19.6."""
STANDS_S = 0.4
"""For how long an order must stand to be one of the three."""
HEARD_S, SWUNG_DEG = 2.0, 10.0
HOLD_S, NEAR_DEG = 0.8, 5.0
"""How long the arm stays at an angle, and how near: trim (up to 3.6), dead band, rounding."""
_COARSE = 64
"""The board's number for a duty of the scale to 1023 is a multiple of this."""


class Pulses(Facts):
    """The orders that the arm got, and which of them was meant for which angle."""

    @cached_property
    def orders(self) -> list[Train]:
        """What a servo takes for an order, for a frame of 20 ms or longer."""
        return pulses(self.recording, FRAME_US / 1e6)

    @cached_property
    def framed(self) -> list[Train]:
        """The orders as they came if there were three, heard or not; else none."""
        found = [train for train in trains(self.recording, 0.1) if train.framed]
        return found[:3] if len(found) in (3, 4) else []

    @cached_property
    def meant(self) -> tuple[Train | None, ...]:
        """For each asked angle the order that fits it best, in order, none twice."""
        best: list[tuple[float, tuple[Train | None, ...]]] = [(0.0, ())]
        best += [(0.0, (None,) * k) for k in range(1, len(ASKED) + 1)]
        for order in self.orders:
            for k in range(len(ASKED), 0, -1):  # from the last, so that no order is taken twice
                worth, before = best[k - 1]
                taken = worth + _fit(order, ASKED[k - 1]), (*before, order)
                best[k] = max(best[k], taken, key=_worth)
            for k in range(1, len(ASKED) + 1):
                passed = best[k - 1][0], (*best[k - 1][1], None)
                best[k] = max(best[k], passed, key=_worth)
        return best[-1][1]

    def stood(self, k: int) -> float:
        """For how long the arm stood at an asked angle while its order was given, in s."""
        order = self.meant[k]
        if order is None:
            return 0.0
        return held(self.recording, ASKED[k], NEAR_DEG, order.begin, order.end)

    def angle_at_end(self, order: Train) -> float:
        """Where the arm stood when an order ended, in degrees."""
        return math.degrees(self.recording.at("arm", order.end - 0.01))

    @cached_property
    def factor(self) -> float | None:
        """By what the angles are multiplied, if both that are not 0 are by the same."""
        if not self.framed or abs(self.framed[1].us - us_of(0.0)) > 25.0:
            return None
        first, last = (
            (self.framed[k].us - us_of(0.0)) / (us_of(ASKED[k]) - us_of(0.0)) for k in (0, 2)
        )
        return (first + last) / 2 if abs(first - last) < 0.08 else None


def _worth(found: tuple[float, object]) -> float:
    return found[0]


def _fit(order: Train, angle: float) -> float:
    """Give how well an order fits an angle: one for each counts most, then points, then us."""
    off, stands = abs(order.us - us_of(angle)), min(1.0, order.seconds / STANDS_S)
    return (1.0 + share(off, full=OFF_US, none=FAR_OFF_US) + 0.01 / (1.0 + off / 100.0)) * stands


@criterion(
    "the servo hears its pulses", 1, essential=True,
    asks=f"pulses that a servo hears, for {HEARD_S:g} s or more in all, and the arm swings by more "
    f"than {SWUNG_DEG:g} degrees",
)  # fmt: skip
def hears(seen: Pulses) -> Finding:
    time = sum(train.seconds for train in trains(seen.recording) if train.heard)
    swept = max(angles(seen.recording)) - min(angles(seen.recording))
    part = min(1.0, time / HEARD_S) if swept > SWUNG_DEG else 0.0
    return Finding(part, f"it heard pulses for {time:.1f} s and swung through {swept:.0f} degrees")


@criterion("50 pulses a second", 1, asks="45 to 55 pulses a second, whenever there are any")
def fifty(seen: Pulses) -> Finding:
    given = [train for train in trains(seen.recording, 0.05) if train.number]
    total = sum(train.seconds for train in given)
    right = sum(train.seconds for train in given if 45.0 <= train.freq_hz <= 55.0)
    others = sorted({f"{t.freq_hz:g}" for t in given if not 45.0 <= t.freq_hz <= 55.0})
    words = f"also {', '.join(others)}" if others and right else ", ".join(others)
    return Finding(right / total if total else 0.0, f"{words or 50} a second" if total else "none")


def _order(k: int, title: str) -> Criterion:
    """Make the criterion of one of the three orders."""

    def judge(seen: Pulses) -> Finding:
        order = seen.meant[k]
        if order is None:
            return Finding(0.0, "no such order")
        part = share(abs(order.us - us_of(ASKED[k])), full=OFF_US, none=FAR_OFF_US)
        part *= min(1.0, order.seconds / STANDS_S)
        words = (
            f"{order.us:.1f} us came out for {order.seconds:.2f} s; the arm then stood at "
            f"{amount(seen.angle_at_end(order), 1)} degrees"
        )
        coarse, asked = not order.number % _COARSE, SCALES[k] == "duty"
        # At another frequency a fine number may by chance be one that `duty` could make.
        if coarse != asked and (asked or abs(order.freq_hz - 50.0) < 0.5):
            part, words = part / 2, words + f"; `duty` {'made' if coarse else 'cannot make'} this"
        return Finding(part, words, at=order.begin)

    asks = f"{us_of(ASKED[k]):.0f} us, within {OFF_US:g}, for {STANDS_S:g} s or more, " + (
        "by `duty`" if SCALES[k] == "duty" else f"by `{SCALES[k]}` (`duty` is too coarse)"
    )
    return Criterion(title, 2, judge, asks=asks)


starboard, ahead, port = ORDERS = (
    _order(0, "45 degrees to starboard"),
    _order(1, "straight ahead"),
    _order(2, "30 degrees to port"),
)


@criterion(
    "time for each", 2, asks=f"the arm within {NEAR_DEG:g} degrees of each for {HOLD_S:g} s or more"
)
def time_for_each(seen: Pulses) -> Finding:
    times = [seen.stood(k) for k in range(len(ASKED))]
    part = sum(min(1.0, time / HOLD_S) for time in times) / len(times)
    words = ", ".join(f"{time:.2f}" for time in times)
    return Finding(part, f"the arm stood at the three angles for {words} s")


# -- mistakes ----------------------------------------------------------------


@mistake(*servo.FRAME)
def other_frame(seen: Pulses) -> Clues:
    factors = [t.us / us_of(a) for t, a in zip(seen.framed, ASKED, strict=False)]
    if factors and max(factors) < 1.03 * min(factors) and not 0.95 < factors[0] < 1.05:
        mean = sum(factors) / len(factors)
        yield f"all three pulses were {mean:.2f} times as long as they should be"


@mistake(*servo.MIRRORED)
def mirrored(seen: Pulses) -> Clues:
    if seen.factor is not None and -1.1 < seen.factor < -0.9:
        yield f"for -45 degrees the arm went to {seen.angle_at_end(seen.framed[0]):.0f}"


@mistake(
    "wrong pulse for a degree",
    "1000 us are 90 degrees, so one degree is 11.1 us: us = 1500 + angle * 1000 / 90.",
)
def other_degrees(seen: Pulses) -> Clues:
    factor = seen.factor
    if factor is not None and not 0.93 < factor < 1.07 and abs(factor) > 0.05:
        yield (
            f"both angles came out {factor:.2f} times as large, -45 as {-45 * factor:.0f} degrees"
        )


@mistake("angles in another order", "first -45 degrees, then 0, then 30.")
def other_order(seen: Pulses) -> Clues:
    came, wanted = [t.us for t in seen.framed], [us_of(angle) for angle in ASKED]

    def fits(some: list[float]) -> bool:
        return all(abs(us - right) < 20 for us, right in zip(some, wanted, strict=True))

    if came and fits(sorted(came)) and not fits(came):
        yield f"the pulses came as {', '.join(f'{us:.0f}' for us in came)} us"


@mistake(*servo.NO_TIME, costs=[time_for_each], explains=[hears, fifty, *ORDERS])
def hurried(seen: Pulses) -> Clues:
    orders = pulses(seen.recording, 0.0)
    short = [train for train in orders if train.seconds < HOLD_S + 0.1]
    if short and len({round(train.us) for train in orders}) > 1:
        yield (
            f"the order of {short[0].us:.0f} us at {short[0].begin:.2f} s stood for "
            f"{short[0].seconds:.3f} s; when the next came the arm was at "
            f"{amount(math.degrees(seen.recording.at('arm', short[0].end)), 0)} degrees"
        )


@mistake(
    "cut off instead of rounded", "`int()` and `//` cut off; write `round(us / 20000 * 1023)`.",
    costs=[port],
)  # fmt: skip
def cut_off(seen: Pulses) -> Clues:
    order, wanted = seen.meant[-1], us_of(ASKED[-1])
    if order and not order.number % _COARSE and -20.0 < order.us - wanted < -OFF_US:
        exact = wanted * order.freq_hz * 1023 / 1e6
        if order.number // _COARSE != math.floor(exact):
            return
        yield (
            f"duty {order.number // _COARSE} made {order.us:.0f} us; {wanted:.0f} us are "
            f"{exact:.1f} of 1023, nearer to {round(exact)}"
        )


@mistake(
    "trim where none was asked",
    "here give the published pulses, 1500 us for straight ahead; the trim comes in task 2.",
    costs=ORDERS, explains=[time_for_each],
)  # fmt: skip
def shifted(seen: Pulses) -> Clues:
    offs = [t.us - us_of(a) for t, a in zip(seen.meant, ASKED, strict=True) if t]
    mean = sum(offs) / len(ASKED)
    if len(offs) == len(ASKED) and OFF_US < abs(mean) < 70.0 and max(offs) - min(offs) < 12.0:
        yield f"all three pulses are {abs(mean):.0f} us too {'long' if mean > 0 else 'short'}"


@mistake(*servo.WAITING)
def still_waiting(seen: Pulses) -> Clues:
    if len(seen.orders) < len(ASKED):
        yield from servo.waiting(seen.recording)


@mistake(
    "another scale than asked",
    "the first by `duty_ns`, the second by `duty_u16`, the third by `duty`.",
    explains=ORDERS,
)
def other_scale(seen: Pulses) -> Clues:
    for k, order in enumerate(seen.meant):
        if order is None or abs(order.us - us_of(ASKED[k])) > OFF_US:
            continue
        near = round(order.number / _COARSE)
        made = f"duty({near}) makes {near * _COARSE / 65536 * FRAME_US:.1f} us"
        if SCALES[k] != "duty" and order.number == near * _COARSE:
            yield f"pulse {k + 1} was exactly what {made}, and {SCALES[k]} was asked"
        if SCALES[k] == "duty" and order.number != near * _COARSE:
            yield f"the last pulse was {order.us:.1f} us; {made}"


@mistake(
    "another pulse than asked",
    "us = 1500 + angle * 1000 / 90; times 1000 for `duty_ns`, / 20000 * 65535 for `duty_u16`, "
    "/ 20000 * 1023 for `duty`. An order must stand for a second.",
    sure=False,
)
def other_pulse(seen: Pulses) -> Clues:
    for order, angle in zip(seen.meant, ASKED, strict=True):
        if order is None:
            yield f"for {angle:.0f} degrees no order came"
        elif abs(order.us - us_of(angle)) > OFF_US:
            yield f"for {angle:.0f} degrees {order.us:.0f} us came out, not {us_of(angle):.0f}"


PULSES = Task(
    id="arm.pulses",
    title="Three angles, three scales",
    program="pulses.py",
    runs=(Run(5.0),),
    criteria=(hears, fifty, *ORDERS, time_for_each),
    mistakes=(
        *servo.UNHEARD, other_frame, mirrored, other_degrees,
        servo.pressed(explains=[hears, *ORDERS, time_for_each]), other_order, hurried, cut_off,
        shifted, still_waiting, other_scale, other_pulse,
    ),
    facts=Pulses,
)  # fmt: skip
"""Ten points."""
