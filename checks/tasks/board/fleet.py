"""Fleet: one program on several tugs, each with a settings file of its own.

A program that is exported goes to more than one board.  So the learner's `main.py` is run here
with the settings of other tugs: other quirks, another wiring, and no settings at all.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from robotsim import PINS, Recording
from robotsim.onto.habits import SECRETS
from robotsim.recording import once
from robotsim.twin.settings import SETTINGS

from ...readings.motion import SIDES, Way
from ...readings.waking import first_drive
from ...task import run_again

__all__ = ["FLEET", "OPEN", "REWIRED", "SAILED", "SECONDS", "Member", "Sailing", "alone", "sail"]

SECONDS = 6.0
"""How long each of them runs, in s."""
OPEN = (0.20, 0.40, 0.0)
"""Where they begin: x and y in m, heading in rad."""
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
SAILED = (
    Member("tug 12", 12, "RGB", 0.515, 0.485),
    Member("tug 55", 55, "GRB", 0.458, 0.542),
)
"""The tugs that are wired as drawn: on these the program can be seen to drive."""
FLEET = (*SAILED, REWIRED)


class Sailing(NamedTuple):
    """What the program did on one tug of the fleet.

    Attributes:
        member: The tug.
        recording: What it left.
    """

    member: Member
    recording: Recording

    @property
    def way(self) -> tuple[float, float]:
        """How far ahead it came, and how far aside, port positive, in m."""
        return Way.of(self.recording).end

    @property
    def begun(self) -> float | None:
        """When a motor was first driven, as the tugs are drawn, in s; None for never."""
        return first_drive(self.recording)

    @property
    def seconds_ahead(self) -> dict[str, float]:
        """For how long each side's inputs, as wired, drove it ahead, in s."""
        steps = [k * 0.05 for k in range(int(self.recording.seconds / 0.05))]
        return {side: 0.05 * sum(self._effort(side, t) > _MARGIN for t in steps) for side in SIDES}

    @property
    def strange_pins(self) -> list[int]:
        """The pins that the program used and that are none of the wiring's."""
        made = self.recording
        used = {told.pin for told in made.outputs() if told.ordered}
        used |= {e.data[0] for e in made.of("frame")}
        used |= {e.data[0] for e in made.of("mode") if e.data[1] == "out"}
        return sorted(used - {*self.member.pins.values()})

    def efforts(self, begun: float | None) -> tuple[float, float] | None:
        """Give the efforts of left and right a second after it began; None if it never did."""
        if begun is None:
            return None
        return self._effort("left", begun + 1.0), self._effort("right", begun + 1.0)

    def duty(self, role: str, time_s: float) -> float:
        """Give the duty at one of its inputs ("left_ahead") at a time in s."""
        return self.recording.pwm_at(self.member.pins[role], time_s)[0]

    def _effort(self, side: str, time_s: float) -> float:
        return self.duty(f"{side}_ahead", time_s) - self.duty(f"{side}_back", time_s)


def sail(recording: Recording, member: Member) -> Sailing:
    """Run the program of a recording on a tug of the fleet."""
    return Sailing(member, _with(recording, member.settings, member.serial))


def alone(recording: Recording) -> Recording:
    """Run the program of a recording on a board without settings."""
    return _with(recording, "", 0)


@once
def _with(recording: Recording, settings: str, serial: int) -> Recording:
    own = {n: t for n, t in recording.files.items() if n not in (SETTINGS, SECRETS)}
    files = {**own, **({SETTINGS: settings} if settings else {})}
    return run_again(recording, files, serial=serial, seconds=SECONDS, start=OPEN)
