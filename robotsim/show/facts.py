"""Facts: what the pictures and the words say of a recording, worked out once.

The signals that the pins carried are joined into *phases*: stretches of time
in which nothing changed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

from ..problem import STOPPED
from ..recording import Recording, once
from ..units import ns, seconds
from .colours import RGB

__all__ = [
    "SIDES",
    "Drive",
    "Glow",
    "Journey",
    "counts",
    "drives",
    "ending",
    "float_rolled",
    "glows",
    "journey",
    "runs_on",
    "touches",
]

SIDES = ("left", "right")
_FULL = 1.0 - 1e-4


class Drive(NamedTuple):
    """A stretch of time in which one motor's two inputs did not change.

    Attributes:
        begin: When it began, s.
        end: When it ended, s.
        duty: Share of the time that the motor is driven, -1 (back) to 1 (ahead).
        mode: What fills the rest of the time: "fast decay" (the motor coasts),
            "slow decay" (it is braked), "mixed", "full" (there is no rest);
            or with duty 0, "coast", "brake" or "mixed".
    """

    begin: float
    end: float
    duty: float
    mode: str


class Glow(NamedTuple):
    """A stretch of time (s) in which the lamps' colours did not change."""

    begin: float
    end: float
    colours: tuple[RGB, ...]


@dataclass(frozen=True)
class Journey:
    """Where the tug went, as seen from where it began.

    Attributes:
        ahead: How far ahead of the start it ended, m (negative: astern).
        port: How far to port of the start it ended, m (negative: to starboard).
        path: Length of the way it went, m.
        turned: How far it turned in all, rad, counter-clockwise (to port) positive.
        swept: How far it turned to either side, summed, rad.
    """

    ahead: float
    port: float
    path: float
    turned: float
    swept: float

    @property
    def away(self) -> float:
        """Distance from the start to the end, m."""
        return math.hypot(self.ahead, self.port)

    @property
    def moved(self) -> bool:
        """Whether it went 5 mm or turned 2 degrees: less would not show."""
        return self.path >= 0.005 or self.swept >= math.radians(2.0)


@once
def float_rolled(recording: Recording) -> bool:
    """Tell whether the float was moved by 5 mm or more."""
    xs, ys = recording.tracks.get("float_x", ()), recording.tracks.get("float_y", ())
    return any(math.dist((xs[0], ys[0]), place) >= 0.005 for place in zip(xs, ys, strict=True))


@once
def journey(recording: Recording) -> Journey:
    """Sum up where the tug went."""
    tracks = recording.tracks
    xs, ys, headings = (tracks.get(name, ()) for name in ("x", "y", "heading"))
    if not xs:
        return Journey(0.0, 0.0, 0.0, 0.0, 0.0)
    dx, dy = xs[-1] - xs[0], ys[-1] - ys[0]
    cos, sin = math.cos(headings[0]), math.sin(headings[0])
    path = math.fsum(math.dist(p, q) for p, q in _pairs(list(zip(xs, ys, strict=True))))
    swept = math.fsum(abs(b - a) for a, b in _pairs(list(headings)))
    turned = headings[-1] - headings[0]
    return Journey(dx * cos + dy * sin, dy * cos - dx * sin, path, turned, swept)


def _pairs(values: list[Any]) -> Iterator[tuple[Any, Any]]:
    return zip(values, values[1:], strict=False)


def _mode(ahead: float, back: float) -> tuple[float, str]:
    """Give (effective duty, what fills the rest) for the duties of a motor's inputs.

    Pulses on both inputs start together, so both are high for the shorter
    (braking), one alone for the difference (driving) and none for the rest
    (coasting).  *Source*: DRV8835 data sheet SLVSB18, table 2 (by way of
    robotsim.parts.bridge).
    """
    both, duty, rest = min(ahead, back), ahead - back, 1.0 - max(ahead, back)
    if abs(duty) >= _FULL:
        return duty, "full"
    braked, coasting = both > 1e-4, rest > 1e-4
    if braked and coasting:
        return duty, "mixed"
    if abs(duty) < 1e-4:
        return 0.0, "brake" if braked else "coast"
    return duty, "slow decay" if braked else "fast decay"


@once
def drives(recording: Recording, side: str) -> list[Drive]:
    """Give the phases of one motor ("left" or "right"); none if it was never touched."""
    roles = {pin: k for k, pin in enumerate(recording.build.motors[side])}
    duties = [0.0, 0.0]
    phases: list[Drive] = []
    begun = 0.0
    state = (0.0, "coast")
    seen = False
    for change in recording.outputs(*roles):
        seen = True
        duties[roles[change.pin]] = change.signal.duty
        fresh = _mode(*duties)
        if fresh != state:
            if change.seconds > begun:
                phases.append(Drive(begun, change.seconds, *state))
            begun, state = change.seconds, fresh
    if seen:
        phases.append(Drive(begun, max(recording.seconds, begun), *state))
    return phases


def share_words(duty: float) -> str:
    """Give a duty in percent, and one that is next to nothing not as none."""
    return f"{100 * duty:.0f} %" if duty >= 0.005 or not duty else f"{100 * duty:.1g} %"


def astray(recording: Recording) -> str:
    """Say where colours went that no lamp has got; "" where none went astray."""
    hang = recording.build.pins["lamps"]
    pins = {int(event.data[0]) for event in recording.of("frame")}
    if not pins or hang in pins:
        return ""
    return f"Colours went out on pin {min(pins)}; the lamps hang on pin {hang}"


def runs_on(recording: Recording) -> str:
    """Give which motors were still driven when the program had ended and the time was up."""
    if recording.ended not in ("finished", "error", "stopped"):
        return ""
    ends = {side: phases[-1].duty for side in SIDES if (phases := drives(recording, side))}
    on = [side for side, duty in ends.items() if duty]
    if len(on) == 2:
        return "both motors"
    return f"the {on[0]} motor" if on else ""


@once
def glows(recording: Recording) -> list[Glow]:
    """Give the phases of the lamps; none if they were never written to."""
    phases: list[Glow] = []
    begun, shown = 0.0, recording.lamps_at(-1.0)
    seen = False
    for event in recording.of("lamps"):
        seen = True
        fresh = tuple(tuple(colour) for colour in event.data[0])
        if fresh != shown:
            if event.seconds > begun:
                phases.append(Glow(begun, event.seconds, shown))
            begun, shown = event.seconds, fresh
    if seen:
        phases.append(Glow(begun, max(recording.seconds, begun), shown))
    return phases


@once
def counts(recording: Recording, eye: int) -> tuple[list[float], list[int]]:
    """Give the times (s) and the counts of one line eye, as the program read them."""
    events = list(recording.of("adc", pin=recording.build.pins[f"eye_{eye}"]))
    return [e.seconds for e in events], [int(e.data[1]) for e in events]


_APART_NS = ns(0.3)
_TOUCHED = {"arm": "arm struck float", "float-wall": "float met wall"}


@once
def touches(recording: Recording) -> list[tuple[float, str]]:
    """Give (time in s, what touched) of each touch; a series closer than 0.3 s is one.

    What the hull touched is "touched wall" or "touched float"; two others tell both things.
    """
    found: list[tuple[float, str]] = []
    last: dict[str, int] = {}
    for event in recording.of("touch"):
        what = str(event.data[0])
        if what not in last or event.time_ns - last[what] > _APART_NS:
            found.append((event.seconds, _TOUCHED.get(what, f"touched {what}")))
        last[what] = event.time_ns
    return found


def ending(recording: Recording) -> str:
    """Say in a few words how the program ended and when."""
    when = f"{seconds(recording.ended_ns):.2f} s"
    problem = recording.problem
    place = f" in line {problem.line}" if problem and problem.line else ""
    if recording.ended == "time is up":
        caught = place if problem and problem.kind == STOPPED else ""
        return f"was still running{caught} when the time was up, at {when}"
    if recording.ended == "finished":
        return f"finished at {when}"
    if problem is None or problem.kind == "stopped":
        how = "ended with an error" if recording.ended == "error" else "was stopped"
        return f"{how}{place} at {when}"
    return f"ended with {problem.kind}{place} at {when}"
