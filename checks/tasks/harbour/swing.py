"""The arm in the harbour run: what is asked of its swing, and what goes wrong with it."""

from __future__ import annotations

from dataclasses import replace

from ...readings.arm import angles, crossings, on_stop
from ...task import Clues, Criterion, Finding, share
from ..arm.knock_criteria import FAR, SLOWEST_S
from ..trials import judged, known
from .voyage import ROLLS, Voyage, Voyages
from .way import follows

__all__ = ["SWINGS", "docks", "left_out", "winds_up"]

WOUND_S, WOUND_OFF_S = 0.5, 0.05
"""How long the arm is to wait on the far side, and how much less still earns all, in s."""
_WAY_SHARE, _STRUCK_SHARE = 0.2, 0.2
"""What the way to a float that does not end in the dock earns at the most, and a strike."""
_OWN_S = 2.0
"""A float that the hull runs into so long after the arm has struck it has been struck."""
_STAYED_DEG = 12.0
_ACROSS_DEG = 25.0
"""Farther than this to either side of the middle, an arm has swung there."""


def _docks(one: Voyage) -> Finding:
    """Judge what became of the float; the way to it counts for a little."""
    way, hit = follows(one), one.hit
    part = _WAY_SHARE * way.share
    pushed = [e.seconds for e in one.recording.of("touch") if e.data[0] == "float"]
    if pushed and (hit is None or pushed[0] < hit.time + _OWN_S):
        return Finding(part, f"the hull ran into the float at {pushed[0]:.1f} s", at=pushed[0])
    if hit is None:
        return Finding(part, f"the arm never struck the float; {way.measured}")
    if one.docked:
        return Finding(1.0, "the float is in the dock")
    words = f"struck, but it is not in the dock; {way.measured}"
    return Finding(part + _STRUCK_SHARE, words, at=hit.time)


docks = Criterion(
    "The float ends in the dock", 6, judged(_docks), essential=True,
    asks="struck by the arm, not by the hull, and it stays there; else the way along the line "
    f"earns up to {100 * _WAY_SHARE:.0f} % of this, a strike {100 * _STRUCK_SHARE:.0f} % more",
)  # fmt: skip


def _winds_up(one: Voyage) -> Finding:
    if one.hit is None:
        return Finding(0.0, "it never struck")
    side = "starboard" if one.port_side else "port"
    return Finding(
        share(WOUND_S - one.wound_up_s, full=WOUND_OFF_S, none=WOUND_S),
        f"the arm waited {one.wound_up_s:.1f} s to {side} before it struck",
        at=one.hit.time,
    )


def _winds_up_on_both(seen: Voyages) -> Finding:
    """Judge by the worse table: on one of two, a side chosen blindly is the right one."""
    worst = min(_winds_up(one).share for one in seen.trials)
    return replace(judged(_winds_up)(seen), share=worst)


winds_up = Criterion(
    "It winds up on the far side", 4, _winds_up_on_both,
    asks=f"{WOUND_S:g} s or more at {FAR:.0f} degrees or more on the side away from the float, "
    "which the side mark tells, before it strikes; the worse of the two tables counts",
)  # fmt: skip


# -- what goes wrong -------------------------------------------------------------


@known(
    "the arm is not swung",
    "at the bar: arm to the far side, wait, arm to the other side, wait, arm ahead.",
    costs=[docks],
)
def _no_swing(one: Voyage) -> Clues:
    swung = max(angles(one.recording)) - min(angles(one.recording))
    if one.went.end is not None and swung <= _STAYED_DEG:
        yield f"it came to the bar, and the arm moved by {swung:.0f} degrees"


@known(
    "the arm is on its stop",
    "pulses are 1000 to 2000 us, 50 a second: arm(1000), arm(1500), arm(2000).",
)
def _on_its_stop(one: Voyage) -> Clues:
    if pressing := on_stop(one.recording):
        yield f"from {pressing.begin:.1f} s on the arm got pulses of {pressing.us:.0f} us"


@known(
    "the arm strikes before the tug stands",
    "at the bar first brake and wait until the tug stands, then wind up.",
)
def _strikes_moving(one: Voyage) -> Clues:
    if one.hit and (speed := one.speed_at(one.hit.time)) >= ROLLS:
        yield f"the arm struck at {one.hit.time:.1f} s, while a wheel turned at {speed:.2f} m/s"


@known(
    "the swing is too small",
    "from 1000 to 2000 us or back, and 300 ms or more before the next order to the arm.",
    costs=[docks],
)
def _small_swing(one: Voyage) -> Clues:
    low, high = min(angles(one.recording)), max(angles(one.recording))
    if one.went.end is not None and not one.hit and high - low <= 2 * FAR:
        yield f"the arm moved between {low:.0f} and {high:.0f} degrees"


@known(
    "the arm misses the float",
    "brake with drive(0, 0) in the very round in which the bar is seen: the float is within reach "
    "only if the eyes stand on the bar.",
    costs=[docks],
)
def _missed(one: Voyage) -> Clues:
    if one.went.end is not None and not one.hit:
        past = 1000 * abs(one.bar[0])
        yield f"its swing met nothing; the eyes stood {past:.0f} mm off the bar's middle"


@known(
    "winds up on the float's side",
    "the side mark tells where the float lies: remember which outer eye saw it, wind up to the "
    "other side.",
    costs=[winds_up],
)
def _float_side(one: Voyage) -> Clues:
    if one.hit is None or one.wound_up_s > 0.1:
        return
    track = list(zip(one.recording.tracks["t"], one.to_float, strict=True))
    near = max(angle for t, angle in track if t <= one.hit.time + 0.3)
    late = min(angle for t, angle in track if t >= one.hit.time)
    if near > _ACROSS_DEG and late < -_ACROSS_DEG:
        yield "the float lies on the side to which it wound up"


@known(
    "the swing does not wait",
    "an arm needs time: wait a second after each order to it before you give the next.",
    costs=[winds_up],
)
def _no_wait(one: Voyage) -> Clues:
    if one.hit and one.wound_up_s < WOUND_S - WOUND_OFF_S:
        yield f"the arm was {one.wound_up_s:.2f} s on the far side before it struck"


@known(
    "the swing is too slow", "one order from the far side to the other, and no small steps between."
)
def _slow_swing(one: Voyage) -> Clues:
    """It struck, but pushed where it should have knocked."""
    side = 1.0 if one.port_side else -1.0
    way = crossings(one.recording, -FAR * side, FAR * side)
    if one.hit and not one.docked and way and way[1] - way[0] > SLOWEST_S:
        yield (
            f"the arm took {way[1] - way[0]:.2f} s for the {2 * FAR:.0f} degrees in which it "
            "strikes"
        )


@known("the arm is left out", "the last order to the arm is 1500, and it needs some time as well.")
def left_out(one: Voyage) -> Clues:
    """It struck, and the arm did not come back."""
    if one.hit and not one.arm_home(one.recording.seconds):
        yield f"the arm ended at {angles(one.recording)[-1]:.0f} degrees"


SWINGS = (
    _no_swing, _on_its_stop, _strikes_moving, _small_swing, _missed, _float_side, _no_wait,
    _slow_swing, left_out,
)  # fmt: skip
"""What goes wrong with the arm, the likeliest first."""
