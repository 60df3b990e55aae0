"""Ways in which the arm goes wrong in a harbour run, and how a recording gives them away.

A function gives the evidence in words, or None where the mistake was not made.
"""

from __future__ import annotations

from robotsim import Recording

from ...readings.arm import angles, crossings
from ...readings.line import course
from ..arm.ways import FAR, SLOWEST_S, on_stop
from .evidence import ROLLS, arm_home, port_side, result, speed_at, struck, wound_up_s

__all__ = [
    "float_side",
    "left_out",
    "missed",
    "no_swing",
    "no_wait",
    "on_its_stop",
    "slow_swing",
    "small_swing",
    "strikes_moving",
]

_WAIT_S = 0.45
_STAYED_DEG = 12.0


def no_swing(recording: Recording) -> str | None:
    """Came to the bar, and the arm stayed where it was."""
    swung = max(angles(recording)) - min(angles(recording))
    if course(recording).end is None or swung > _STAYED_DEG:
        return None
    return f"it came to the bar, and the arm moved by {swung:.0f} degrees"


def small_swing(recording: Recording) -> str | None:
    """Came to the bar and swung, but not from one side to the other."""
    low, high = min(angles(recording)), max(angles(recording))
    if course(recording).end is None or struck(recording) or high - low > 2 * FAR:
        return None
    return f"the arm moved between {low:.0f} and {high:.0f} degrees"


def missed(recording: Recording) -> str | None:
    """Came to the bar, and the arm met nothing."""
    if course(recording).end is None or struck(recording):
        return None
    past = 1000 * result(recording).past
    return f"its swing met nothing; the eyes stood {abs(past):.0f} mm off the bar's middle"


def strikes_moving(recording: Recording) -> str | None:
    """Struck before the tug stood."""
    hit = struck(recording)
    if hit is None or speed_at(recording, hit.time) < ROLLS:
        return None
    return (
        f"the arm struck at {hit.time:.1f} s, while a wheel turned at "
        f"{speed_at(recording, hit.time):.2f} m/s"
    )


def on_its_stop(recording: Recording) -> str | None:
    """Pulses that press the arm on one of its stops."""
    pressing = on_stop(recording)
    if pressing is None:
        return None
    return f"from {pressing.begin:.1f} s on the arm got pulses of {pressing.us:.0f} us"


def slow_swing(recording: Recording) -> str | None:
    """Struck, but pushed where it should have knocked."""
    hit, side = struck(recording), 1.0 if port_side(recording) else -1.0
    if hit is None or result(recording).docked:
        return None
    way = crossings(recording, -FAR * side, FAR * side)
    if way is None or way[1] - way[0] <= SLOWEST_S:
        return None
    return f"the arm took {way[1] - way[0]:.2f} s for the 60 degrees in which it strikes"


def left_out(recording: Recording) -> str | None:
    """Struck, and the arm did not come back."""
    if struck(recording) is None or arm_home(recording, recording.seconds):
        return None
    return f"the arm ended at {angles(recording)[-1]:.0f} degrees"


def float_side(recording: Recording) -> str | None:
    """Wound up on the side of the float."""
    hit = struck(recording)
    if hit is None or wound_up_s(recording) > 0.1:
        return None
    side = 1.0 if port_side(recording) else -1.0
    far = max(side * a for t, a in zip(recording.tracks["t"], angles(recording), strict=True)
              if t <= hit.time + 0.3)  # fmt: skip
    late = min(side * a for t, a in zip(recording.tracks["t"], angles(recording), strict=True)
               if t >= hit.time)  # fmt: skip
    if far > 25.0 and late < -25.0:
        return f"with seed={recording.seed} the float lies on the side to which it wound up"
    return None


def no_wait(recording: Recording) -> str | None:
    """Struck without having waited on the far side."""
    hit = struck(recording)
    if hit is None or wound_up_s(recording) >= _WAIT_S:
        return None
    return f"the arm was {wound_up_s(recording):.2f} s on the far side before it struck"
