"""Motor: a brushed direct-current motor with its gearbox."""

from __future__ import annotations

from dataclasses import dataclass

from .linear import Pair, advance

__all__ = ["TUG_MOTOR", "Motor"]


@dataclass(frozen=True)
class Motor:
    """The figures of a motor, and what follows from them.

    *Model*: L i' = V - R i - K w and J w' = K i - b w - load; the constant K
    serves for torque and for back-EMF alike.
    *Source*: any text on electrical machines, e.g. the University of Michigan
    control tutorials, "DC Motor Speed: System Modeling" (read).

    Attributes:
        constant: K in V s/rad, which is N m/A.
        resistance: R in ohm.
        inductance: L in H.
        inertia: J of the armature in kg m^2.
        damping: b in N m s/rad.
        gear: Turns of the motor for one turn of the wheel.
    """

    constant: float
    resistance: float
    inductance: float
    inertia: float
    damping: float = 0.0
    gear: float = 1.0

    def steady_speed(self, volts: float) -> float:
        """Give the speed in rad/s at which the free motor settles."""
        return self.constant * volts / (self.damping * self.resistance + self.constant**2)

    def response(
        self, volts: float, duration: float, start: Pair = (0.0, 0.0), load: float = 0.0
    ) -> Pair:
        """Give (current in A, speed in rad/s) after a time under a steady voltage.

        Args:
            volts: Voltage across the motor.
            duration: Time in s.
            start: Current and speed at the beginning.
            load: Torque against the motor in N m.
        """
        matrix = (
            -self.resistance / self.inductance,
            -self.constant / self.inductance,
            self.constant / self.inertia,
            -self.damping / self.inertia,
        )
        rate = (
            matrix[0] * start[0] + matrix[1] * start[1] + volts / self.inductance,
            matrix[2] * start[0] + matrix[3] * start[1] - load / self.inertia,
        )
        return advance(matrix, start, rate, duration)[0]


TUG_MOTOR = Motor(
    constant=0.0042,
    resistance=4.5,
    inductance=0.5e-3,
    inertia=8e-8,
    gear=48.0,
)
"""The tug's motors (invented figures of the size of a small toy motor).

The inertia is that of the armature and of the gears next to it.  What the gears lose is
their friction (`drive.DRAG_SHARE`), whichever way they are driven: at half the torque at
which the motor stalls they pass on about 0.7 of it.
"""
