"""Battery: four rechargeable cells and what their voltage does under load."""

from __future__ import annotations

from bisect import bisect_left
from typing import ClassVar

from ..errors import KitError

__all__ = [
    "BROWN_OUT_VOLTS", "CAPACITY_AH", "RESISTANCE", "START_CHARGE", "Battery", "charge_at",
]  # fmt: skip

CELLS = 4
RESISTANCE = 0.18
"""Of all four cells and their holder, in ohm (invented)."""
CAPACITY_AH = 1.9
"""In ampere-hours (invented, size of a common AA cell)."""
BROWN_OUT_VOLTS = 3.45
"""Supply below which the board's 3.3 V regulator lets the board go: 0.15 V above (invented)."""
START_CHARGE = 0.55
"""Share of the charge that a trial begins with: there the battery gives its nominal 4.8 V."""

_CURVE = (
    (0.0, 0.90), (0.05, 1.05), (0.20, 1.15), (0.90, 1.25), (0.97, 1.32), (1.0, 1.40),
)  # fmt: skip
"""Share of the charge that is left, voltage of a resting cell."""
_CHARGES = tuple(charge for charge, _ in _CURVE)


def charge_at(volts: float) -> float:
    """Give the share of the charge, 0 to 1, at which the battery rests at a voltage in V."""
    cell, before = min(max(volts / CELLS, _CURVE[0][1]), _CURVE[-1][1]), _CURVE[0]
    for point in _CURVE[1:]:
        if cell <= point[1]:
            break
        before = point
    share = (cell - before[1]) / (point[1] - before[1])
    return before[0] + share * (point[0] - before[0])


class Battery:
    """Four NiMH cells in a row.

    *Model*: a voltage that follows the charge along straight pieces, behind a
    resistance: V = E(charge) - R I.  Under a steady current the charge falls
    in proportion to time, so a step of any length is exact.
    *Source*: 1.2 V a cell nominal, 1.4 V when full, near 1.25 V after a tenth,
    flat until four fifths are gone, spent near 1.0 V: shape of the usual
    discharge curve (common practice, no source); figures invented.

    Args:
        charge: Share of the full charge at the start, 0 to 1.

    Attributes:
        charge: Share of the full charge that is left, 0 to 1.
        amps: The current of the last `draw`, in A.

    Raises:
        KitError: The charge is not from 0 to 1.
    """

    roles: ClassVar[tuple[str, ...]] = ("battery",)

    def __init__(self, charge: float = START_CHARGE) -> None:
        if not 0.0 <= charge <= 1.0:
            raise KitError(
                f"A battery's charge is a share from 0 (empty) to 1 (full), not {charge!r}.",
                hint="use 1.0 for a battery fresh from the charger.",
            )
        self.charge = float(charge)
        self.amps = 0.0

    @property
    def emf(self) -> float:
        """Voltage of the battery at rest, in V."""
        piece = max(bisect_left(_CHARGES, self.charge), 1)
        (charge, cell), (more, higher) = _CURVE[piece - 1], _CURVE[piece]
        share = (self.charge - charge) / (more - charge)
        return CELLS * (cell + share * (higher - cell))

    def volts(self, amps: float) -> float:
        """Give the voltage at the terminals in V under a current in A."""
        return max(self.emf - RESISTANCE * amps, 0.0)

    def pin_volts(self, amps: float) -> float:
        """Give the voltage at the board's battery pin: half the terminals', by a divider."""
        return 0.5 * self.volts(amps)

    def draw(self, amps: float, duration: float) -> None:
        """Take a current in A for a time in s; what flows back charges."""
        self.amps = amps
        left = self.charge - amps * duration / (3600.0 * CAPACITY_AH)
        self.charge = min(max(left, 0.0), 1.0)

    @property
    def brown_out(self) -> bool:
        """Whether the supply under the present current is too low for the board."""
        return self.volts(self.amps) < BROWN_OUT_VOLTS
