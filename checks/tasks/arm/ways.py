"""Ways of the arm: which order was meant for what, when it swept, swung and came back.

Also the evidence of mistakes that its way gives away: a function gives it in words, or None where
the mistake was not made.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

from robotsim import Recording

from ...readings.arm import (
    PER_DEG,
    Train,
    angles,
    crossings,
    held,
    pulses,
    us_of,
)
from ..turn.evidence import first_of

__all__ = [
    "ASKED", "FAR", "GAUGE", "SIDE", "SLOWEST_S", "STATION_S", "SWING_S", "UPRIGHT", "Look",
    "Station", "big_steps", "each", "jumped", "jumped_back", "left_aside", "no_time",
    "off_at_the_end", "on_stop", "other_angle", "pace", "port_first", "pulses_end",
    "short_hold", "stations", "still_back", "still_pulses", "swing", "swings", "trim_left",
    "trim_wrong", "waiting", "way_across", "way_back",
]  # fmt: skip

Recordings = Sequence[Recording]
Look = Callable[[Recording], str | None]

ASKED = (-45.0, 0.0, 30.0)
"""The angles of `arm.pulses` in degrees, in order."""
SIDE, GAUGE, UPRIGHT = 45.0, 35.0, 5.0
"""How far the arm goes to a side, where that counts as there, and where as back in the middle."""
FAR = 30.0
"""Where an arm surely stands that was told to go to 35: trim (up to 3.6 degrees), dead band."""
SWING_S = 0.12
"""For 60 degrees at 4.8 V: sheet of the 9 g class (transcription)."""
SLOWEST_S = 1.4 * SWING_S
"""Still a swing at full rate: two samples of 10 ms, and a battery that sags, are in it."""
STATION_S = 0.4
"""An order that stands for less is not taken for one of the three."""
_STOPS_US = (800.0, 2250.0)
"""Pulses at which the arm comes to its stops (common practice, no source)."""


# -- reading -----------------------------------------------------------------


class Station(NamedTuple):
    """An order that stood long enough to be one of the three asked for.

    Attributes:
        begin: When it was given, in s.
        end: When the next came, in s.
        us: The pulse.
        number: The board's 16-bit number for it.
        angle: Where the arm stood at its end, in degrees.
    """

    begin: float
    end: float
    us: float
    number: int
    angle: float


@functools.lru_cache(maxsize=1)
def _matched(orders: tuple[Train, ...]) -> tuple[int | None, ...]:
    """Choose for each asked angle the order that was meant for it, none twice, in order."""
    count = min(len(ASKED), len(orders))
    best: tuple[float, tuple[int | None, ...]] = (math.inf, (None,) * len(ASKED))
    for slots in itertools.combinations(range(len(ASKED)), count):
        for picked in itertools.combinations(range(len(orders)), count):
            pairs = dict(zip(slots, picked, strict=True))
            cost = sum(abs(orders[k].us - us_of(ASKED[slot])) for slot, k in pairs.items())
            if cost < best[0]:
                best = cost, tuple(pairs.get(slot) for slot in range(len(ASKED)))
    return best[1]


def stations(recording: Recording) -> tuple[Station | None, ...]:
    """Give for each of the three asked angles the order that comes nearest to it, in order."""
    orders = tuple(pulses(recording, STATION_S)[:12])
    return tuple(
        None if k is None else Station(
            orders[k].begin, orders[k].end, orders[k].us, orders[k].number,
            math.degrees(recording.at("arm", orders[k].end - 0.01)),
        )
        for k in _matched(orders)
    )  # fmt: skip


def way_across(recording: Recording) -> tuple[float, float] | None:
    """Give when the arm left the starboard side for the port side, and when it came there."""
    return crossings(recording, -GAUGE, GAUGE)


def way_back(recording: Recording) -> tuple[float, float] | None:
    """Give when the arm left the port side after its sweep, and when it came to the middle."""
    way = way_across(recording)
    return crossings(recording, GAUGE, UPRIGHT, way[1]) if way else None


def swing(recording: Recording) -> tuple[float, float] | None:
    """Give when the arm passed 30 degrees to starboard, then 30 to port, for the first time."""
    return crossings(recording, -FAR, FAR)


def swings(recording: Recording) -> list[tuple[float, float]]:
    """Give every way of the arm from 30 degrees to starboard to 30 to port."""
    found: list[tuple[float, float]] = []
    while way := crossings(recording, -FAR, FAR, found[-1][1] if found else 0.0):
        found.append(way)
    return found


def pulses_end(recording: Recording) -> float | None:
    """Give since when no order comes any more, in s; None if pulses come to the end."""
    orders = pulses(recording)
    silent = not orders or orders[-1].end < recording.seconds
    return (orders[-1].end if orders else 0.0) if silent else None


def on_stop(recording: Recording) -> Train | None:
    """Give the first pulse train that presses the arm on one of its stops."""
    low, high = _STOPS_US
    return next((t for t in pulses(recording, 0.02) if not low <= t.us <= high), None)


def each(look: Look) -> Callable[[Recordings], str | None]:
    """Look at one recording after the other."""

    def looked(recordings: Recordings) -> str | None:
        return first_of(look, recordings)

    return looked


# -- arm.sweep ---------------------------------------------------------------


def _first(recording: Recording, side: float) -> float | None:
    """Give when the arm first came to a side, in s: 1 port, -1 starboard."""
    pairs = zip(recording.tracks["t"], angles(recording), strict=True)
    return next((t for t, angle in pairs if side * angle >= FAR), None)


def port_first(recording: Recording) -> str | None:
    """The arm went to port where it should have gone to starboard."""
    port, starboard = _first(recording, 1.0), _first(recording, -1.0)
    if port is None or (starboard is not None and starboard < port):
        return None
    told = "never to starboard" if starboard is None else f"to starboard only at {starboard:.2f} s"
    return f"the arm went to port first, at {port:.2f} s, and {told}"


def no_time(recording: Recording) -> str | None:
    """An order to go to starboard that was too short to get there."""
    asked = [t for t in pulses(recording, 0.0) if t.us < us_of(-GAUGE)]
    time = sum(train.seconds for train in asked)
    if not 0.0 < time < 0.3 or min(angles(recording)) <= -GAUGE:
        return None
    return (
        f"the order to go to starboard stood for {1000 * time:.0f} ms; "
        f"the arm came as far as {min(angles(recording)):.0f} degrees"
    )


def waiting(recording: Recording) -> str | None:
    """A program that was still waiting after its last order when the time was up."""
    orders = pulses(recording, 0.0)
    if recording.ended != "time is up" or not orders:
        return None
    wait = recording.seconds - orders[-1].begin
    if wait < 0.9:
        return None
    return (
        f"the last new order came at {orders[-1].begin:.2f} s; {wait:.1f} s later, when the check "
        "ended, the program was still running"
    )


def still_pulses(recording: Recording) -> str | None:
    """The second or third order had not come when the time was up."""
    return waiting(recording) if None in stations(recording) else None


def still_back(recording: Recording) -> str | None:
    """The arm was not back when the time was up."""
    return waiting(recording) if way_back(recording) is None else None


def jumped(recording: Recording) -> str | None:
    """The arm ran across at full rate."""
    way = way_across(recording)
    if way is None or way[1] - way[0] > 0.6:
        return None
    return f"from {way[0]:.2f} s on it took {way[1] - way[0]:.2f} s for {2 * GAUGE:.0f} degrees"


def jumped_back(recording: Recording) -> str | None:
    """The arm ran back at full rate."""
    way = way_back(recording)
    if way is None or way[1] - way[0] > 0.3:
        return None
    gone = GAUGE - UPRIGHT
    return f"from {way[0]:.2f} s on it took {way[1] - way[0]:.2f} s for {gone:.0f} degrees"


def pace(recording: Recording) -> str | None:
    """A sweep too fast or too slow."""
    way = way_across(recording)
    if way is None or abs(way[1] - way[0] - 2 * GAUGE / 45.0) <= 0.2:
        return None
    time = way[1] - way[0]
    return f"{2 * GAUGE:.0f} degrees took {time:.2f} s, so 90 would take {time * 45 / GAUGE:.2f} s"


def big_steps(recording: Recording) -> str | None:
    """Steps that can be seen."""
    way = way_across(recording)
    if way is None:
        return None
    under = [t.us for t in pulses(recording, 0.0) if way[0] - 0.2 <= t.begin <= way[1]]
    steps = [abs(b - a) / PER_DEG for a, b in itertools.pairwise(under)]
    if not steps or max(steps) < 6.0:
        return None
    return f"the sweep went in steps of up to {max(steps):.0f} degrees"


def other_angle(recording: Recording) -> str | None:
    """Goals that are not the two that were asked."""
    low, high = min(angles(recording)), max(angles(recording))
    most, least = max(-low, high), min(-low, high)
    if most <= SIDE + 10.0 and (least >= SIDE - 10.0 or waiting(recording)):
        return None
    return f"the arm went as far as {-low:.0f} degrees to starboard and {high:.0f} to port"


def off_at_the_end(recording: Recording) -> str | None:
    """Pulses that were taken away from an arm that should be held."""
    since = pulses_end(recording)
    return None if since is None else f"no pulses came from {since:.2f} s on"


def short_hold(recording: Recording) -> str | None:
    """A hold that is too short although the arm was where it should be."""
    way = way_across(recording)
    if way is None:
        return None
    for side, begin, end in ((-SIDE, 0.0, way[0]), (SIDE, way[1], recording.seconds)):
        time = held(recording, side, 4.5, begin, end)
        if time < 0.95:
            return f"it stood at {side:.0f} degrees for {time:.2f} s"
    return None


def _end(recording: Recording) -> tuple[float, float] | None:
    """Give the last pulse in us and the angle in degrees at which the arm then ended."""
    orders = pulses(recording, 0.0)
    if not orders or orders[-1].seconds < 0.3:  # then it is on its way
        return None
    return orders[-1].us, angles(recording)[-1]


def trim_left(recording: Recording) -> str | None:
    """The published middle on an arm that has another one."""
    end = _end(recording)
    if end is None or abs(end[0] - 1500.0) > 8.0 or not 1.0 < abs(end[1]) < 8.0:
        return None
    return f"the last pulse was {end[0]:.0f} us, and the arm stood at {end[1]:.1f} degrees"


def trim_wrong(recording: Recording) -> str | None:
    """A trim that leaves the arm aside."""
    end = _end(recording)
    if end is None or not 1.0 < abs(end[1]) < 12.0 or abs(end[0] - 1500.0) > 130.0:
        return None
    change = abs(end[1]) * PER_DEG
    return (
        f"with a last pulse of {end[0]:.0f} us the arm stood at {end[1]:.1f} degrees, about "
        f"{change:.0f} us too {'long' if end[1] > 0 else 'short'}"
    )


def left_aside(recording: Recording) -> str | None:
    """The arm ends far from the middle."""
    last = angles(recording)[-1]
    return f"it ended at {last:.0f} degrees" if abs(last) > 6.0 else None
