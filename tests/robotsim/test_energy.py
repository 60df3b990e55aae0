"""The energy account of a whole trial: what the battery gives is all there, and no more.

Heat in motors and bridges comes from a current that this test follows through its own cycle; loss
on a wall is what the hull loses there. Friction and slip are forces times ways.
"""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from robotsim import core
from robotsim.core import Core
from robotsim.parts.battery import CAPACITY_AH, RESISTANCE
from robotsim.parts.bridge import ON_RESISTANCE
from robotsim.parts.motor import TUG_MOTOR
from robotsim.parts.side import Side
from robotsim.parts.wheels import MASS, TURNING_INERTIA, Push
from robotsim.units import SECOND
from robotsim.wiring import Signal
from robotsim.world import TugWorld
from tests.robotsim.tugs import Order, braked, coast, fast, finer, live, slow

OHM = TUG_MOTOR.resistance + ON_RESISTANCE
TAU = TUG_MOTOR.inductance / OHM
CLOSES = 0.005
"""Share of what the battery gave within which the account closes."""


def squares(ahead: Signal, back: Signal, volts: float, emf: float) -> float:
    """Give the mean square of the current in A^2 over a cycle, followed through a few of them."""
    freq = max(ahead.freq_hz, back.freq_hz)
    if not freq:
        across = (ahead.duty - back.duty) * volts
        return ((across - emf) / OHM) ** 2 if ahead.duty or back.duty else 0.0
    if emf < 0.0 or (back.duty > ahead.duty):
        return squares(back, ahead, volts, -emf) if back.duty > ahead.duty else np.nan
    step = 1.0 / freq / 400
    shares = (np.arange(400) + 0.5) / 400
    high, low = shares < ahead.duty, shares < back.duty
    across = np.where(high & ~low, volts, 0.0)
    open_ = ~high & ~low
    gone, amps, total = np.exp(-step / TAU), 0.0, 0.0
    for _ in range(max(3, int(6 * TAU * freq) + 1)):
        total = 0.0
        for volts_on, coasts in zip(across, open_, strict=True):
            if coasts:
                before = amps
                amps = max((-volts - emf) / OHM * (1 - gone) + amps * gone, 0.0) if amps else 0.0
            else:
                target, before = (volts_on - emf) / OHM, amps
                amps = target + (amps - target) * gone
            total += (before * before + before * amps + amps * amps) / 3.0
    return float(total / 400)


class Account:
    """Follows a world step by step, and puts every joule down."""

    def __init__(self, world: TugWorld) -> None:
        self.world, self.spent = world, Counter[str]()
        self._heats: dict[object, float] = {}
        drive, wheels, bodies = world._drive, world.wheels, world._bodies
        self.sides = drive._left, drive._right
        self.drags = drive._left.drag, drive._right.drag
        self.motion_at_first = self.motion()
        step, part, contact, blow = world._step, world._slide, bodies.step, bodies.strike

        def stepped(duration: float, touching: bool) -> None:
            rims, ways = (wheels.left, wheels.right), (wheels.left_way, wheels.right_way)
            charge, rest = world.battery.charge, world._rest_amps
            emf = world.battery.emf
            hull, slid, self.driven = (wheels.speed, wheels.turn_rate), wheels.sliding, None
            step(duration, touching)
            drawn = charge - world.battery.charge
            amps = drawn * 3600.0 * CAPACITY_AH / duration
            self.spent["battery"] += emf * amps * duration
            self.spent["battery's heat"] += RESISTANCE * amps**2 * duration
            self.spent["others"] += (emf - RESISTANCE * amps) * rest * duration
            ways = wheels.left_way - ways[0], wheels.right_way - ways[1]
            self.wheels(duration, rims, ways)
            if not self.driven and (slid or wheels.sliding):
                self.slip(duration, ways, hull)

        def parted(duration: float, gone: float) -> None:
            ways, hull = (wheels.left_way, wheels.right_way), (wheels.speed, wheels.turn_rate)
            part(duration, gone)
            ways = wheels.left_way - ways[0], wheels.right_way - ways[1]
            self.slip(duration, ways, hull)

        def touched(duration: float, hull):
            self.driven = hull.speed, hull.turn_rate
            before = self.hull_energy(hull)
            found = contact(duration, hull)
            self.spent["walls"] += before - self.hull_energy(hull)
            return found

        def struck(hull) -> None:
            before = self.hull_energy(hull)
            blow(hull)
            self.spent["walls"] += before - self.hull_energy(hull)

        on_floor = drive._on_floor

        def pushed(turning, step: float, left: Push, right: Push) -> tuple[Push, Push]:
            pushes = on_floor(turning, step, left, right)
            self.drags = pushes[0].drag, pushes[1].drag
            return pushes

        world._step, world._slide, drive._on_floor = stepped, parted, pushed
        bodies.step, bodies.strike = touched, struck

    def hull_energy(self, hull) -> float:
        square = hull.vx**2 + hull.vy**2
        return 0.5 * (MASS * square + TURNING_INERTIA * hull.turn_rate**2)

    def motion(self) -> float:
        w = self.world.wheels
        rims = w.rotor_mass * (w.left**2 + w.right**2)
        return self.hull_energy(self.world._hull) + 0.5 * rims

    def wheels(self, duration: float, rims, ways) -> None:
        w, volts = self.world.wheels, self.world._drive.terminals
        after = w.left, w.right
        for k, side in enumerate(self.sides):
            rim = ways[k] / duration
            heat = self.heat(side, volts, side.emf * rim)
            self.spent["motors' heat"] += heat * duration
            drag = self.drags[k] * np.sign(rims[k] + after[k])
            self.spent["friction"] += drag * ways[k]

    def slip(self, duration: float, ways, hull: tuple[float, float]) -> None:
        """Put down what the floor took: what the wheels gave the hull, times how far they slid."""
        w = self.world.wheels
        half = 0.5 * w.track
        speed, turn = self.driven or (w.speed, w.turn_rate)
        along, about = MASS * (speed - hull[0]), TURNING_INERTIA * (turn - hull[1]) / half
        if not self.world._leans or self.driven:  # else it leans as it did
            self.forces = 0.5 * (along - about) / duration, 0.5 * (along + about) / duration
        middle, swing = 0.5 * (speed + hull[0]), 0.5 * half * (turn + hull[1])
        floors = middle - swing, middle + swing
        for way, force, floor in zip(ways, self.forces, floors, strict=True):
            self.spent["slip"] += force * (way - duration * floor)

    def heat(self, side: Side, volts: float, emf: float) -> float:
        ahead, back = (signal.now for signal in side.inputs)
        key = ahead, back, round(volts, 3), round(emf, 3)
        if key not in self._heats:
            self._heats[key] = OHM * squares(ahead, back, volts, emf)
        return self._heats[key]

    def off(self) -> float:
        """Give what is missing, as a share of what the battery gave to the motors."""
        spent = self.spent
        kept = self.motion() - self.motion_at_first
        given = spent["battery"] - spent["others"]
        return (given - kept - sum(
            spent[name] for name in ("battery's heat", "motors' heat", "friction", "slip", "walls")
        )) / max(given, 0.05)  # fmt: skip


follows = pytest.mark.skipif(
    core.state is Core.COMPILED,
    reason="nobody looks over a compiled tug's shoulder; it does the same to the bit",
)

TRIALS: dict[str, tuple[list[Order], tuple[float, float, float]]] = {
    "driving, slow decay": (slow(0.01, 0.6, 0.4), (0.5, 0.5, 0.0)),
    "driving, fast decay": (fast(0.01, 0.7, 0.5), (0.5, 0.5, 0.0)),
    "braking": (slow(0.01, 0.8, 0.8) + braked(0.6), (0.2, 0.5, 0.0)),
    "braking by a lower duty": (slow(0.01, 0.9, 0.9) + slow(0.6, 0.25, 0.25), (0.2, 0.5, 0.0)),
    "coasting": (slow(0.01, 0.8, 0.8) + coast(0.6), (0.2, 0.5, 0.0)),
    "spinning wheels": (slow(0.01, 1.0, 1.0) + braked(0.3), (0.2, 0.5, 0.0)),
    "pushing on a wall": (slow(0.01, 0.6, 0.5), (1.0, 0.3, 0.2)),
}


@follows
@pytest.mark.parametrize("serial", [0, 7], ids=["ideal", "with a day"])
@pytest.mark.parametrize("name", TRIALS)
def test_the_energy_account_of_a_trial_closes(name: str, serial: int) -> None:
    orders, start = TRIALS[name]
    account = Account(live(orders, start=start, serial=serial))
    account.world.advance_to(round(1.5 * SECOND))
    assert account.spent["battery"] > 0.5
    assert all(value > -1e-6 for value in account.spent.values()), account.spent
    assert abs(account.off()) < CLOSES, account.spent


@follows
def test_gears_that_are_driven_backwards_give_no_energy() -> None:
    """What a braked tug had is found again as heat and friction, not a hundredth more."""
    with finer(4):  # heat goes with the square of the speed, and the account takes a step's mean
        world = live(slow(0.01, 1.0, 1.0) + braked(0.6), start=(0.2, 0.5, 0.0))
        world.advance_to(round(0.6 * SECOND) + 1)
        account = Account(world)
        had = account.motion()
        world.advance_to(round(1.5 * SECOND))
    assert had > 0.05 and abs(world.wheels.speed) < 1e-12
    lost = sum(account.spent[name] for name in ("motors' heat", "friction", "slip"))
    assert lost == pytest.approx(had, rel=0.003)
