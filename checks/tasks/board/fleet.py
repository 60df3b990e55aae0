"""Fleet: one program on several tugs, each with a settings file of its own.

A program that is exported goes to more than one board.  So the learner's `main.py` is run here
with the settings of other tugs: other quirks, another wiring, and no settings at all.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from robotsim import PINS, Recording, Whose, run_trial
from robotsim.onto.habits import SECRETS, SETTINGS

from ...readings.motion import Way
from ...task import patience

__all__ = [
    "FLEET",
    "REWIRED",
    "Member",
    "alone",
    "drift",
    "driven_ahead",
    "fleet",
    "run_with",
    "strange_pins",
    "worst",
]

SECONDS = 6.0
_OPEN = (0.20, 0.40, 0.0)
_MARGIN = 0.02
"""Difference of two inputs' duties above which a motor is driven."""


class Member(NamedTuple):
    """A tug of the fleet, with what its owner wrote into its settings.

    Attributes:
        name: What it is called on the card.
        serial: Its serial number.
        order: The order in which its lamps take the colours.
        left, right: Efforts with which it runs straight (found by trying, as in lesson `drive`).
        pins: Its wiring.
    """

    name: str
    serial: int
    order: str
    left: float
    right: float
    pins: Mapping[str, int] = PINS

    @property
    def settings(self) -> str:
        """The text of its settings file."""
        return (
            f"PINS = {dict(self.pins)!r}\nLAMP_ORDER = {self.order!r}\n"
            f"LEFT_EFFORT = {self.left}\nRIGHT_EFFORT = {self.right}\nARM_TRIM_US = 0\n"
        )


REWIRED = Member(
    "a tug wired otherwise", 0, "GRB", 0.46, 0.46,
    {**PINS, "left_ahead": 32, "left_back": 23, "right_ahead": 16, "right_back": 17, "lamps": 4},
)  # fmt: skip
"""Its motors and lamps hang on other pins, all of which the board has (invented).

Its efforts do not add up to 1, so that an effort and what is left of 1 can be told apart.
"""
FLEET = (
    Member("tug 12", 12, "RGB", 0.515, 0.485),
    Member("tug 55", 55, "GRB", 0.458, 0.542),
    REWIRED,
)


def fleet(recording: Recording) -> tuple[Recording, ...]:
    """Run the program of a recording on the tugs of the fleet, in order."""
    return tuple(run_with(recording, member.settings, member.serial) for member in FLEET)


def alone(recording: Recording) -> Recording:
    """Run the program of a recording on a board without settings."""
    return run_with(recording, "", 0)


def run_with(recording: Recording, settings: str, serial: int) -> Recording:
    """Run the program of a recording with other settings; "" for none."""
    own = {n: t for n, t in recording.files.items() if n not in (SETTINGS, SECRETS)}
    files = tuple(sorted(own.items()))
    return _run(
        files, recording.program, settings, serial, patience([recording]),
        recording.whose or Whose.STRANGER,
    )  # fmt: skip


@functools.lru_cache(maxsize=256)
def _run(
    own: tuple[tuple[str, str], ...], program: str, settings: str, serial: int, silence_s: float,
    whose: Whose,
) -> Recording:  # fmt: skip
    files = {**dict(own), **({SETTINGS: settings} if settings else {})}
    return run_trial(
        files, program=program, serial=serial, seconds=SECONDS, start=_OPEN, silence_s=silence_s,
        whose=whose,
    )  # fmt: skip


def driven_ahead(recording: Recording, pins: Mapping[str, int]) -> dict[str, float]:
    """Give for how long each side's inputs, as wired, drove it ahead, in s."""
    steps = [k * 0.05 for k in range(int(recording.seconds / 0.05))]
    found = {}
    for side in ("left", "right"):
        ahead, back = pins[f"{side}_ahead"], pins[f"{side}_back"]
        found[side] = 0.05 * sum(
            recording.pwm_at(ahead, t)[0] - recording.pwm_at(back, t)[0] > _MARGIN for t in steps
        )
    return found


def strange_pins(recording: Recording, pins: Mapping[str, int]) -> list[int]:
    """Give the pins that the program used and that are none of the wiring's."""
    used = {e.data[0] for e in recording.of("pin", "pwm", "frame")}
    used |= {e.data[0] for e in recording.of("mode") if e.data[1] == "out"}
    return sorted(used - {*pins.values()})


def drift(recording: Recording) -> tuple[float, float]:
    """Give how far ahead the tug came, and how far aside, port positive, in m."""
    return Way.of(recording).end


def worst(values: Sequence[float]) -> int:
    """Give the place of the smallest of some shares."""
    return min(range(len(values)), key=values.__getitem__)
