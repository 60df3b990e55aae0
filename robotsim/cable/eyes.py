"""Eyes: what somebody says who watches the plugged tug, also a while after a wheel has turned."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..colour_names import colour_name
from ..units import SECOND

if TYPE_CHECKING:
    from .tug import World

__all__ = ["Eyes"]

_STILL_M = 1e-5
"""A wheel that rolls less between two looks stands still."""
_APART_NS = 300_000_000
"""After so long at rest it is another motion."""


class Eyes:
    """Eyes that follow both wheels, and remember the last motion of each.

    Args:
        world: The tug that they watch.
    """

    def __init__(self, world: World) -> None:
        self._world = world
        self._ways = self._now()
        self._moved: dict[str, tuple[float, int]] = {}

    def _now(self) -> dict[str, float]:
        wheels = self._world.wheels
        return {"left": wheels.left_way, "right": wheels.right_way}

    def watch(self, now_ns: int) -> None:
        """Look once; the oftener, the less is missed."""
        for side, way in self._now().items():
            step, (before, last_ns) = way - self._ways[side], self._moved.get(side, (0.0, 0))
            if abs(step) > _STILL_M:
                goes_on = now_ns - last_ns < _APART_NS and before * step > 0
                self._moved[side] = (before + step if goes_on else step, now_ns)
            self._ways[side] = way

    def words(self, now_ns: int) -> str:
        """Say which lamps are lit, which wheel has turned which way, and where the arm stands."""
        world = self._world
        lit = [f"{name} {colour_name(colour)}" for name, colour in
               zip(world.build.lamp_names, world.shown, strict=True) if any(colour)]  # fmt: skip
        rows = [f"Lamps: {', '.join(lit) or 'all dark'}."]
        for side, (way, last_ns) in sorted(self._moved.items()):
            where = "ahead" if way > 0 else "back"
            rows.append(f"The {side} wheel turned {where}, {1000 * abs(way):.0f} mm, "
                        f"{(now_ns - last_ns) / SECOND:.0f} s ago.")  # fmt: skip
        arm = math.degrees(world._arm.angle)
        side = "to port" if arm > 0 else "to starboard"
        rows.append(f"The arm stands {abs(arm):.0f} degrees {side}." if abs(arm) >= 0.5 else
                    "The arm stands straight ahead.")  # fmt: skip
        return " ".join(rows)
