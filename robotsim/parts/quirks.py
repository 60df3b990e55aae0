"""Quirks: how one tug differs from the next, fixed by its serial number."""

from __future__ import annotations

import random
from dataclasses import dataclass

from ..errors import KitError
from ..wiring import DRAWN, Build

__all__ = ["MOST_SERIAL", "Quirks"]

MOST_SERIAL = 9999
"""The greatest number that a tug has."""


@dataclass(frozen=True)
class Quirks:
    """The figures in which one tug differs from the drawing.

    *Model*: each figure is drawn once from the serial number.  Serial 0 is the
    tug as drawn.  *Source*: spreads are invented, of the size that cheap parts
    show (common practice, no source).

    Attributes:
        serial: The serial number.
        left_strength, right_strength: The motors' constants against the drawing's.
        left_start, right_start: Duty at which each wheel starts to turn from
            rest on a full battery (steady direct current).
        lamp_order: The order in which the lamps' chips take the colour bytes,
            "GRB" or "RGB".
        arm_trim_us: Pulse at which the arm stands straight ahead, less 1500 us.
        eye_gain: Each eye's gain against the drawing's.
        eye_offset: By how much each eye pulls its pin down in the dark, in V.
        gyro_bias: Rate that the motion sensor shows at rest, in rad/s, x y z.
        accel_bias: Acceleration that it shows too much, in m/s^2, x y z.
        adc_reference: Reference of the board's converter, in V.
        adc_off: What the converter's own calibration leaves, in V at the pin.
        build: How it is put together; no serial number changes that.
        twin_of: Of which real tug it is the twin, by its file, and in a second line what of that
            was not measured; "" where the number says it all.
    """

    serial: int
    left_strength: float = 1.0
    right_strength: float = 1.0
    left_start: float = 0.18
    right_start: float = 0.18
    lamp_order: str = "GRB"
    arm_trim_us: float = 0.0
    eye_gain: tuple[float, float, float, float] = (1.0, 1.0, 1.0, 1.0)
    eye_offset: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    gyro_bias: tuple[float, float, float] = (0.0, 0.0, 0.0)
    accel_bias: tuple[float, float, float] = (0.0, 0.0, 0.0)
    adc_reference: float = 1.1
    adc_off: float = 0.0
    build: Build = DRAWN
    twin_of: str = ""

    @classmethod
    def of(cls, serial: int) -> Quirks:
        """Give the quirks of a serial number.

        Raises:
            KitError: The serial number is not a whole number from 0 to `MOST_SERIAL`.
        """
        whole = isinstance(serial, int) and not isinstance(serial, bool)
        if not (whole and 0 <= serial <= MOST_SERIAL):
            raise KitError(
                f"A serial number is a whole number from 0 to {MOST_SERIAL}, not {serial!r}.",
                hint="use 0 for the tug as drawn, or the number on your tug's card.",
            )
        if serial == 0:
            return cls(0)
        draw = random.Random(f"quayside tug {serial}")
        # One motor is the weaker by 4 to 12 %: always enough to see, never too much to mend.
        weaker = 1.0 - draw.uniform(0.04, 0.12)
        left, right = (weaker, 1.0) if draw.random() < 0.5 else (1.0, weaker)
        return cls(
            serial,
            left_strength=left,
            right_strength=right,
            left_start=draw.uniform(0.15, 0.25),
            right_start=draw.uniform(0.15, 0.25),
            lamp_order=draw.choice(("GRB", "RGB")),
            arm_trim_us=draw.uniform(-40.0, 40.0),
            eye_gain=_four(draw, 0.8, 1.2),
            eye_offset=_four(draw, 0.02, 0.12),
            gyro_bias=_three(draw, 0.08),
            accel_bias=_three(draw, 0.4),
            adc_reference=draw.uniform(1.06, 1.14),
            adc_off=draw.uniform(-0.015, 0.015),
        )


def _four(draw: random.Random, low: float, high: float) -> tuple[float, float, float, float]:
    a, b, c, d = (draw.uniform(low, high) for _ in range(4))
    return a, b, c, d


def _three(draw: random.Random, spread: float) -> tuple[float, float, float]:
    a, b, c = (draw.uniform(-spread, spread) for _ in range(3))
    return a, b, c
