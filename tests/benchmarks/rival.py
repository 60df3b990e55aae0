"""The baseline: the same tug and the same program over a general physics engine at 1 kHz.

One process, no link: pymunk is stepped from Python, the motors are worked out anew in every
step, the tyres hold by impulses that their grip limits, and every 20 ms the program's own
function sets the duties from the four eyes.  All figures are the tug's.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable

import pymunk

from robotsim.converter import Converter
from robotsim.parts.bridge import ON_RESISTANCE
from robotsim.parts.motor import TUG_MOTOR
from robotsim.parts.part import FakeSurroundings
from robotsim.parts.quirks import Quirks
from robotsim.parts.reflectance import LineEyes
from robotsim.parts.wheels import (
    HULL_RADIUS,
    MASS,
    TRACK,
    TURNING_INERTIA,
    WHEEL_RADIUS,
    grip_limit,
)
from robotsim.table import Table
from robotsim.wiring import duty_share

__all__ = ["drive"]

STEP = 1e-3
VOLTS = 4.7
EMF = TUG_MOTOR.constant * TUG_MOTOR.gear / WHEEL_RADIUS
FORCE = EMF
DRAG = 0.75 * 0.18 * FORCE * 4.8 / (TUG_MOTOR.resistance + ON_RESISTANCE)
ROTOR = TUG_MOTOR.inertia * (TUG_MOTOR.gear / WHEEL_RADIUS) ** 2


class _Around(FakeSurroundings):
    """One that may be given a floor, also where the class it stands on is compiled."""


Steer = Callable[[list[int], list[float]], tuple[int, int, int, int]]


def drive(table: Table, seconds: float, steer: Steer) -> list[tuple[float, float]]:
    """Follow the table's line and give where the tug was every 20 ms."""
    space, body = _world(table)
    eyes, around = LineEyes(Quirks.of(0), random.Random(0)), _Around()
    around.floor = table.floor  # type: ignore[method-assign]
    memory, places, converter = [0.0], [], Converter()
    efforts = (0.0, 0.0)
    for k in range(round(seconds / STEP)):
        if k % 20 == 0:
            around.x, around.y = body.position
            around.heading = body.angle
            seen = [converter.count(eyes.volts(role, around), 3) for role in eyes.roles]
            duties = steer(seen, memory)
            efforts = (_effort(*duties[:2]), _effort(*duties[2:]))
            places.append((around.x, around.y))
        _push(body, efforts)
        space.step(STEP)
    return places


def _effort(one: int, other: int) -> float:
    return duty_share(one) - duty_share(other)


def _world(table: Table) -> tuple[pymunk.Space, pymunk.Body]:
    space = pymunk.Space()
    corners = [(0, 0), (table.width, 0), (table.width, table.height), (0, table.height)]
    for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
        space.add(pymunk.Segment(space.static_body, a, b, 0.001))
    # The armatures turn with the wheels: they weigh along the heading and about the axle's middle.
    body = pymunk.Body(MASS + 2 * ROTOR, TURNING_INERTIA + 0.5 * ROTOR * TRACK**2)
    body.position, body.angle = table.start[:2], table.start[2]
    space.add(body, pymunk.Circle(body, HULL_RADIUS))
    return space, body


def _push(body: pymunk.Body, efforts: tuple[float, float]) -> None:
    """Push at both wheels, and hold sideways as far as the grip goes."""
    ahead = pymunk.Vec2d(math.cos(body.angle), math.sin(body.angle))
    speed, turn = body.velocity.dot(ahead), body.angular_velocity
    for side, effort in ((-1.0, efforts[0]), (1.0, efforts[1])):
        rim = speed + side * 0.5 * TRACK * turn
        amps = (effort * VOLTS - EMF * rim) / (TUG_MOTOR.resistance + ON_RESISTANCE)
        force = FORCE * amps
        drag = min(DRAG, abs(force)) if abs(rim) < 1e-3 else DRAG
        force -= math.copysign(drag, rim if abs(rim) >= 1e-3 else force)
        force = min(max(force, -grip_limit()), grip_limit())
        body.apply_force_at_local_point((force, 0.0), (0.0, -side * 0.5 * TRACK))
    aside = body.velocity.dot(ahead.perpendicular())
    hold = min(max(-aside * body.mass, -2 * grip_limit() * STEP), 2 * grip_limit() * STEP)
    body.apply_impulse_at_local_point((0.0, hold), (0.0, 0.0))
