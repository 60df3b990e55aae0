"""Ball: the rubber float on the floor, sliding, rolling, coming to rest."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..units import GRAVITY

__all__ = ["BALL_MASS", "BALL_RADIUS", "Ball"]

BALL_RADIUS = 0.020
"""In m: a squash ball is 40 mm across, give or take 0.5 (World Squash, transcription)."""
BALL_MASS = 0.024
"""In kg: a squash ball has 24 g, give or take 1 (World Squash, transcription)."""
_INERTIA = 0.516
"""Moment of inertia over m r^2.  24 g of rubber of 1150 kg/m^3 (from memory) in a ball of
40 mm leave a hollow of 14.4 mm radius; 2/5 (1 - q^5) / (1 - q^3) with q = 0.72 (arithmetic)."""
_SLIDING = 0.5
"""Friction of rubber on printed paper (invented, below that of a tyre)."""
_ROLLING = 0.010
"""Rolling resistance of a small rubber ball on a table (invented)."""
_SAME = 1e-12
"""Slip in m/s that is nothing but rounding."""


@dataclass
class Ball:
    """A ball on a flat floor.

    *Model*: while the point that touches the floor slides, friction mu g acts
    against its slip, whose direction does not change; once the rim's speed
    equals the ball's it rolls, and rolling resistance slows it by mu_r g until
    it stops.  Closed form: two short steps give what one long one gives.
    Rolling resistance is left out while it slides (a fiftieth of the friction).
    *Source*: slide to roll, v = 5/7 v0 for a solid sphere after
    t = 2 v0 / (7 mu g); rolling, d = v^2 / (2 mu_r g) (read, see tests/published).

    Attributes:
        x, y: Its middle in m.
        vx, vy: Its velocity in m/s.
        rim_x, rim_y: The velocity in m/s at which it would roll as it turns now.
        inertia: Moment of inertia over m r^2: 0.4 if solid, 2/3 for a thin shell.
        sliding: Friction on the floor.
        rolling: Rolling resistance.
    """

    x: float
    y: float
    vx: float = 0.0
    vy: float = 0.0
    rim_x: float = 0.0
    rim_y: float = 0.0
    inertia: float = _INERTIA
    sliding: float = _SLIDING
    rolling: float = _ROLLING

    @property
    def still(self) -> bool:
        """Whether it lies at rest and does not spin."""
        return not (self.vx or self.vy or self.rim_x or self.rim_y)

    @property
    def energy(self) -> float:
        """Its energy of motion and of turning, in J."""
        turning = self.inertia * (self.rim_x**2 + self.rim_y**2)
        return 0.5 * BALL_MASS * (self.vx**2 + self.vy**2 + turning)

    def advance(self, duration: float) -> None:
        """Let it live on alone for a time in s."""
        if self.still:
            return
        slip = math.hypot(self.vx - self.rim_x, self.vy - self.rim_y)
        if slip > _SAME:
            duration -= self._slide(duration, slip)
        if duration > 0.0:
            self._roll(duration)

    def _slide(self, duration: float, slip: float) -> float:
        """Slide until it rolls or the time is over; give the time that took, in s."""
        grip = self.sliding * GRAVITY
        needed = slip / (grip * (1.0 + 1.0 / self.inertia)) if grip else math.inf
        lasts = min(duration, needed)
        push_x = -grip * (self.vx - self.rim_x) / slip
        push_y = -grip * (self.vy - self.rim_y) / slip
        self.x += lasts * (self.vx + 0.5 * lasts * push_x)
        self.y += lasts * (self.vy + 0.5 * lasts * push_y)
        if lasts == needed:  # what floor friction cannot change is shared out
            share = 1.0 / (1.0 + self.inertia)
            self.vx = self.rim_x = share * (self.vx + self.inertia * self.rim_x)
            self.vy = self.rim_y = share * (self.vy + self.inertia * self.rim_y)
        else:
            self.vx += lasts * push_x
            self.vy += lasts * push_y
            self.rim_x -= lasts * push_x / self.inertia
            self.rim_y -= lasts * push_y / self.inertia
        return lasts

    def _roll(self, duration: float) -> None:
        """Roll for a time in s, at most until it stops."""
        speed = math.hypot(self.vx, self.vy)
        slowing = self.rolling * GRAVITY
        if speed > slowing * duration:
            lasts, left = duration, 1.0 - slowing * duration / speed
        else:
            lasts, left = (speed / slowing if slowing else 0.0), 0.0
        self.x += 0.5 * lasts * (1.0 + left) * self.vx
        self.y += 0.5 * lasts * (1.0 + left) * self.vy
        self.vx = self.rim_x = left * self.vx
        self.vy = self.rim_y = left * self.vy
