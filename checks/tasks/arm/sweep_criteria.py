"""What `arm.sweep` asks: to starboard, a steady sweep to port, and back to straight ahead."""

from __future__ import annotations

from functools import cached_property

from ...readings.arm import (
    Train,
    angles,
    between,
    crossings,
    held,
    off_line,
    pulses,
    silent_since,
    us_of,
)
from ...task import Facts, Finding, criterion, share
from ...words import amount, told_apart

__all__ = ["CRITERIA", "GAUGE", "HOLD_OFF_S", "HOLD_S", "SECONDS", "SIDE", "UPRIGHT", "Sweep"]

SECONDS, LAST_S = 8.0, 0.8
"""Length of the trial, and for how long before its end the arm must be back."""
SIDE, GAUGE, UPRIGHT = 45.0, 35.0, 5.0
"""How far the arm goes to a side, where that counts as there, and where as back in the middle."""
RATE = 45.0
"""In degrees a second: 90 degrees in 2 s."""
ACROSS_S, BACK_S = 2 * GAUGE / RATE, (GAUGE - UPRIGHT) / RATE
ACROSS_OFF_S, BACK_OFF_S = 0.2, 0.15
HOLD_S, HOLD_OFF_S, HOLD_DEG, AHEAD_DEG, STEADY_DEG = 1.0, 0.05, 2.0, 1.0, 3.0
JUMP_S = 1.0
"""A way across in less is a jump, or in part."""
_NOWHERE = f"the arm never went from -{GAUGE:.0f} to {GAUGE:.0f} degrees"


class Sweep(Facts):
    """The arm's way to port and back, and the orders under it."""

    @cached_property
    def track(self) -> tuple[float, ...]:
        """The arm's angles in degrees."""
        return angles(self.recording)

    @cached_property
    def orders(self) -> list[Train]:
        """What the servo took for orders, however short."""
        return pulses(self.recording, 0.0)

    @cached_property
    def across(self) -> tuple[float, float] | None:
        """When the arm left the starboard side for the port side, and when it came there."""
        return crossings(self.recording, -GAUGE, GAUGE)

    @cached_property
    def back(self) -> tuple[float, float] | None:
        """When the arm left the port side after its sweep, and when it came to the middle."""
        if self.across is None:
            return None
        return crossings(self.recording, GAUGE, UPRIGHT, self.across[1])

    @property
    def across_s(self) -> float:
        """How long the way to port took, in s."""
        return self.across[1] - self.across[0] if self.across else 0.0

    @property
    def back_s(self) -> float:
        """How long the way back to the middle took, in s."""
        return self.back[1] - self.back[0] if self.back else 0.0

    @cached_property
    def low_s(self) -> float:
        """For how long the arm was held to starboard before its sweep, in s."""
        return self.held(-SIDE, HOLD_DEG)

    @cached_property
    def high_s(self) -> float:
        """For how long the arm was held to port after its sweep, in s."""
        return self.held(SIDE, HOLD_DEG)

    def held(self, side: float, within: float) -> float:
        """For how long the arm was within so many degrees of a side when it should be, in s."""
        way = self.across or (self.recording.seconds, self.recording.seconds)
        begin, end = (0.0, way[0]) if side < 0 else (way[1], self.recording.seconds)
        return held(self.recording, side, within, begin, end)

    @cached_property
    def middle_us(self) -> float | None:
        """The pulse half-way between those at which it held the two sides, in us."""
        sides = [
            [t for t in self.orders if t.seconds > 0.3 and side * (t.us - us_of(0.0)) > 200.0]
            for side in (-1.0, 1.0)
        ]
        low, high = (max(some, key=lambda t: t.seconds, default=None) for some in sides)
        return (low.us + high.us) / 2 if low and high else None

    @cached_property
    def end(self) -> tuple[float, float] | None:
        """The last pulse in us and where the arm then stood, in degrees; None if on its way."""
        if not self.orders or self.orders[-1].seconds < 0.3:
            return None
        return self.orders[-1].us, self.track[-1]


@criterion(
    "the arm goes to both sides", 1, essential=True, asks=f"{GAUGE:.0f} degrees or more to each"
)
def both_sides(seen: Sweep) -> Finding:
    low, high = max(0.0, -min(seen.track)), max(seen.track)
    part = share(GAUGE - min(low, high), full=0.0, none=25.0)
    return Finding(part, f"{low:.0f} degrees to starboard, {amount(high, 0)} to port")


@criterion(
    "it holds to starboard", 2,
    asks=f"{HOLD_S - HOLD_OFF_S:g} s or more within {HOLD_DEG:g} degrees of -{SIDE:.0f}, "
    "before the sweep",
)  # fmt: skip
def starboard(seen: Sweep) -> Finding:
    time = seen.low_s
    words = f"{time:.2f} s before the sweep" if seen.across else f"{time:.2f} s, and no sweep"
    return Finding(
        share(HOLD_S - time, full=HOLD_OFF_S, none=HOLD_S), words,
        at=seen.across[0] if seen.across else None,
    )  # fmt: skip


@criterion(
    "it sweeps in two seconds", 2,
    asks=f"from -{GAUGE:.0f} to {GAUGE:.0f} in {ACROSS_S:.2f} s, which is {RATE:.0f} degrees a "
    f"second, within {ACROSS_OFF_S:g} s",
)  # fmt: skip
def two_seconds(seen: Sweep) -> Finding:
    if seen.across is None:
        return Finding(0.0, _NOWHERE)
    part = share(abs(seen.across_s - ACROSS_S), full=ACROSS_OFF_S, none=1.0)
    return Finding(part, f"it took {seen.across_s:.2f} s", at=seen.across[0])


@criterion(
    "at a steady speed", 2,
    asks=f"that way within {STEADY_DEG:g} degrees of a steady motion, in {JUMP_S:g} s or more",
)  # fmt: skip
def steady(seen: Sweep) -> Finding:
    if seen.across is None:
        return Finding(0.0, _NOWHERE)
    time, off = seen.across_s, off_line(seen.recording, *seen.across)
    part = share(off, full=STEADY_DEG, none=10.0) * share(JUMP_S - time, full=0.0, none=0.8)
    words = f"up to {told_apart(off, STEADY_DEG, 1)} degrees off a steady motion"
    if time < JUMP_S:
        words += f", but it took {told_apart(time, JUMP_S)} s: that is a jump"
    return Finding(part, words, at=seen.across[0])


@criterion(
    "it holds to port", 2,
    asks=f"{HOLD_S - HOLD_OFF_S:g} s or more within {HOLD_DEG:g} degrees of {SIDE:.0f}, "
    "after the sweep",
)  # fmt: skip
def port(seen: Sweep) -> Finding:
    if seen.across is None:
        return Finding(0.0, _NOWHERE)
    part = share(HOLD_S - seen.high_s, full=HOLD_OFF_S, none=HOLD_S)
    return Finding(part, f"{seen.high_s:.2f} s after the sweep", at=seen.across[1])


@criterion(
    "it comes back as slowly", 1,
    asks=f"from {GAUGE:.0f} to {UPRIGHT:.0f} degrees in {BACK_S:.2f} s, within {BACK_OFF_S:g} s",
)  # fmt: skip
def slowly_back(seen: Sweep) -> Finding:
    if seen.back is None:
        return Finding(0.0, "it did not come back to the middle")
    part = share(abs(seen.back_s - BACK_S), full=BACK_OFF_S, none=0.6)
    return Finding(part, f"it took {seen.back_s:.2f} s", at=seen.back[0])


@criterion(
    "it ends straight ahead", 2,
    asks=f"within {AHEAD_DEG:g} degree of 0 for the last {LAST_S:g} of the {SECONDS:g} s, "
    "pulses on",
)  # fmt: skip
def ahead(seen: Sweep) -> Finding:
    last = between(seen.recording, seen.recording.seconds - LAST_S, seen.recording.seconds)
    worst = max(last, key=abs)
    part = share(abs(worst), full=AHEAD_DEG, none=4.0) if seen.across else 0.0
    words = f"up to {amount(worst, 1)} degrees aside in the last {LAST_S:g} s"
    if silent_since(seen.recording) is not None:
        part, words = part / 2, words + ", and no pulses held it there"
    return Finding(part, words, at=seen.recording.seconds)


CRITERIA = (both_sides, starboard, two_seconds, steady, port, slowly_back, ahead)
"""Twelve points."""
