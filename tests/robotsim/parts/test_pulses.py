"""The whole drive against a circuit and a tug that scipy follows pulse by pulse.

The reference shares the figures of the tug and no code: current, rim and hull from edge to edge by
matrix exponentials, a tyre that slides as dry friction does, gears that stick. Both wheels do the
same, so one of them and half of the hull stand for the tug.
"""

from __future__ import annotations

import functools
import math
import random

import numpy as np
import pytest
from scipy.linalg import expm

from robotsim.parts.bridge import ON_RESISTANCE
from robotsim.parts.drive import Drive
from robotsim.parts.motor import TUG_MOTOR
from robotsim.parts.part import FakeSurroundings
from robotsim.parts.quirks import Quirks
from robotsim.parts.side import DRAG_SHARE, LOW_HZ
from robotsim.parts.wheels import MASS, WHEEL_RADIUS, grip_limit
from robotsim.wiring import FLOATING, Signal

VOLTS, START = 4.8, 0.18
OHM, HENRY = TUG_MOTOR.resistance + ON_RESISTANCE, TUG_MOTOR.inductance
HALF = 0.5 * MASS
SECONDS = 0.5
FINE = 20e-6
"""Longest piece in s; what changes within one is seen at its end."""
HIGH = Signal(1.0, 0.0)
ACROSS = {"on": VOLTS, "brake": 0.0, "diodes": -VOLTS}


class Reference:
    """Half a tug: current in A, speeds of rim and hull in m/s, way of the hull in m.

    Args:
        gears: Share of a motor's torque that its gears pass on, whichever way they are driven.
        inertia: Of an armature in kg m^2.
    """

    def __init__(self, gears: float = 1.0, inertia: float = TUG_MOTOR.inertia) -> None:
        self.emf = TUG_MOTOR.constant * TUG_MOTOR.gear / WHEEL_RADIUS
        self.force = gears * self.emf
        self.rotor = inertia * (TUG_MOTOR.gear / WHEEL_RADIUS) ** 2
        self.hold = START * self.force * VOLTS / OHM
        self.drag = DRAG_SHARE * self.hold
        self.now = np.array([0.0, 0.0, 0.0, 0.0, 1.0])
        self.grips = True
        self.piece = functools.cache(self._piece)

    def go(self, duration: float, level: str) -> None:
        """Live on under one state of the bridge: "on", "brake", or "off" with the diodes."""
        pieces = math.ceil(duration / FINE)
        for _ in range(pieces):
            kind = level
            if level == "off":
                kind = "diodes" if self.now[0] > 0.0 else "dead"
            motion = self._motion()
            now = self.now = self.piece(round(duration / pieces, 13), kind, motion) @ self.now
            if kind == "diodes":
                now[0] = max(now[0], 0.0)
            if motion in ("ahead", "behind") and (now[1] < now[2]) != (motion == "behind"):
                now[1] = now[2] = (self.rotor * now[1] + HALF * now[2]) / (self.rotor + HALF)
                self.grips = True
            if now[1] <= 0.0:
                now[1] = 0.0
                self.grips = self.grips or now[2] <= 0.0
            if now[2] <= 0.0 or (now[1] == 0.0 and self.grips):
                now[2] = 0.0

    def _motion(self) -> str:
        amps, rim, hull = self.now[:3]
        push = self.force * amps
        if rim == 0.0 and hull == 0.0 and push <= self.hold:
            return "rest"
        if rim == 0.0 and push <= self.drag:
            return "locked"
        needed = HALF * (push - self.drag) / (HALF + self.rotor)
        if self.grips and abs(needed) <= grip_limit():
            return "grips"
        if self.grips:
            self.grips = False
            return "ahead" if needed > 0.0 else "behind"
        return "ahead" if rim >= hull else "behind"

    def _piece(self, duration: float, kind: str, motion: str) -> np.ndarray:
        rates = np.zeros((5, 5))
        if kind != "dead":
            rates[0] = [-OHM / HENRY, -self.emf / HENRY, 0.0, 0.0, ACROSS[kind] / HENRY]
        rates[3, 2] = 1.0
        pushed = np.array([self.force, 0.0, 0.0, 0.0, -self.drag])
        floor = grip_limit() * {"ahead": 1.0, "behind": -1.0, "locked": -1.0}.get(motion, 0.0)
        if motion == "grips":
            rates[1] = rates[2] = pushed / (HALF + self.rotor)
        elif motion != "rest":
            rates[2, 4] = floor / HALF
            if motion != "locked":
                rates[1] = pushed / self.rotor
                rates[1, 4] -= floor / self.rotor
        return expm(rates * duration)


def followed(duty: float, freq: float, decay: str, tug: Reference) -> float:
    """Give how far in mm the reference comes: in slow decay a cycle begins with its brake."""
    period = 1.0 / freq
    on = (duty * period, "on")
    pause = ((1.0 - duty) * period, "brake" if decay == "slow" else "off")
    phases, left = ((pause, on) if decay == "slow" else (on, pause)), SECONDS
    while left > 1e-9:
        for lasts, level in phases:
            if left > 1e-9:
                tug.go(min(lasts, left), level)
                left -= min(lasts, left)
    return float(1000.0 * tug.now[3])


def driven(duty: float, freq: float, decay: str) -> float:
    """Give how far in mm our drive comes."""
    ahead, back = Signal(duty, freq), FLOATING
    if decay == "slow":
        ahead, back = HIGH, Signal(1.0 - duty, freq)
    drive, around = Drive(Quirks.of(0), random.Random(0)), FakeSurroundings()
    for role, signal in zip(Drive.roles, (ahead, back, ahead, back), strict=True):
        drive.drive(role, signal)
    for _ in range(round(SECONDS / 0.01)):
        drive.advance(0.01, around)
    return 1000.0 * drive.wheels.x


@pytest.mark.parametrize(("freq", "known"), [(24.0, 28.3), (26.0, 29.0)])
def test_the_figures_of_another_such_model_come_out(freq: float, known: float) -> None:
    """Reference figures (A): gears that passed on 0.7 either way, and an armature of 5e-8 kg m^2.

    Such gears gave energy when driven backwards. Ours do not, and come as far all the same.
    """
    assert followed(0.3, freq, "slow", Reference(0.7, 5e-8)) == pytest.approx(known, rel=0.005)
    assert driven(0.3, freq, "slow") == pytest.approx(known, rel=0.02)


FREQS = [5.0, 24.0, 26.0, 50.0, 100.0, LOW_HZ - 1, LOW_HZ, 1000.0, 40_000.0]


@pytest.mark.parametrize("freq", FREQS)
@pytest.mark.parametrize("duty", [0.3, 0.6])
@pytest.mark.parametrize("decay", ["slow", "fast"])
def test_from_5_hz_to_40_khz_the_drive_comes_as_far_as_one_followed_pulse_by_pulse(
    duty: float, decay: str, freq: float
) -> None:
    reference = followed(duty, freq, decay, Reference())
    assert driven(duty, freq, decay) == pytest.approx(reference, rel=0.02, abs=0.05)
