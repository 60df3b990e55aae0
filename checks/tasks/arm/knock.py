"""Evidence of mistakes in knocking the float into the dock, read from a recording.

A function here gives the evidence in words, or None where the mistake was not made.
"""

from __future__ import annotations

import math

from robotsim import Recording

from ...readings.arm import angles, between, pulses, strike, us_of
from ...readings.motion import SIDES, driven, still_driven
from ..turn.evidence import motors
from .ways import FAR, SLOWEST_S, SWING_S, port_first, swing, swings, waiting

__all__ = [
    "cut_short", "drove", "hull_touch", "left_on", "no_strike", "no_wind_up", "other_way",
    "short_swing", "short_wait", "slow_swing", "still_strike", "twice",
]  # fmt: skip


def hull_touch(recording: Recording) -> str | None:
    """The hull met the float."""
    times = [e.seconds for e in recording.of("touch") if e.data[0] == "float"]
    return f"the hull touched the float at {times[0]:.2f} s" if times else None


def left_on(recording: Recording) -> str | None:
    """Motors driven at the end."""
    sides = still_driven(recording)
    return f"{motors(sides)} still driven at the end" if sides else None


def drove(recording: Recording) -> str | None:
    """The tug left its place before the arm struck."""
    if not any(driven(recording, side) for side in SIDES) or strike(recording):
        return None
    x, y, _ = recording.end
    went = math.hypot(x - recording.tracks["x"][0], y - recording.tracks["y"][0])
    return f"the tug drove {100 * went:.0f} cm, and the arm did not meet the float"


def still_strike(recording: Recording) -> str | None:
    """The arm had not struck when the time was up."""
    if strike(recording):
        return None
    orders = pulses(recording, 0.0)
    if orders and orders[-1].end >= recording.seconds > orders[-1].begin > recording.seconds - 0.5:
        return f"the last order came at {orders[-1].begin:.2f} s, just before the check ended"
    return waiting(recording)


def cut_short(recording: Recording) -> str | None:
    """A swing that was called off before the arm had met the float."""
    time = sum(train.seconds for train in pulses(recording, 0.0) if train.us > us_of(FAR))
    if not 0.0 < time < 0.15 or strike(recording):
        return None
    return (
        f"the order to go to port stood for {1000 * time:.0f} ms; the arm came as far as "
        f"{max(angles(recording)):.0f} degrees"
    )


def other_way(recording: Recording) -> str | None:
    """Wound up to port, and swung to starboard."""
    return port_first(recording) if min(angles(recording)) <= -FAR else None


def slow_swing(recording: Recording) -> str | None:
    """The arm pushed where it should have struck."""
    way = swing(recording)
    if way is None or way[1] - way[0] <= SLOWEST_S:
        return None
    return (
        f"the arm took {way[1] - way[0]:.2f} s for 60 degrees; at its full rate it takes "
        f"{SWING_S:.2f} s"
    )


def no_wind_up(recording: Recording) -> str | None:
    """The arm struck without having gone to starboard."""
    hit = strike(recording)
    if hit is None:
        return None
    lowest = min(between(recording, 0.0, hit.time))
    if lowest <= -FAR:
        return None
    return f"before it struck, at {hit.time:.2f} s, it had been no farther than {lowest:.0f}"


def short_wait(recording: Recording) -> str | None:
    """The arm struck before a second was over."""
    hit = strike(recording)
    if hit is None:
        return None
    before = between(recording, 0.0, hit.time)
    time = recording.tracks["t"][1] * sum(angle <= -FAR for angle in before)
    return f"it struck after {time:.2f} s to starboard" if 0.0 < time < 0.95 else None


def short_swing(recording: Recording) -> str | None:
    """A swing that ends before it has come to the other side."""
    hit = strike(recording)
    reached = max(angles(recording))
    if hit is None or reached >= FAR:
        return None
    return f"it came no farther to port than {reached:.0f} degrees"


def twice(recording: Recording) -> str | None:
    """More swings than one."""
    times = [f"{way[0]:.1f}" for way in swings(recording)]
    return f"it swung {len(times)} times, at {', '.join(times)} s" if len(times) > 1 else None


def no_strike(recording: Recording) -> str | None:
    """The arm never came where the float lies."""
    if strike(recording):
        return None
    low, high = min(angles(recording)), max(angles(recording))
    return f"the arm moved between {low:.0f} and {high:.0f} degrees and met nothing"
