"""What the office sends in the tasks of the lesson `harbour`: the same for the same seed."""

from __future__ import annotations

import random
from typing import Any

from robotsim.radio import Airwaves, Order

__all__ = ["leg_script", "ready_script", "run_script"]

_RUN_ME = 'print(6 * 7, "times evaluated") or {"speed": 0.2, "seconds": 60}'
"""What `radio_scripts.GIVEAWAY` shows on the console if a program runs what arrives."""
_BAD: tuple[str | bytes, ...] = (
    "{'speed': 0.2, 'seconds': 60}",
    '{"speed": 0.2}',
    '{"speed": "0.2", "seconds": 60}',
    '{"speed": 2, "seconds": 60}',
    '{"speed": 0.2, "seconds": 60, "hurry": 1}',
    "[0.2, 60]",
    "full speed ahead",
    b'{"speed": 0.2, "seconds": 60}\xff',
)
"""Orders that must be refused, each for a reason of its own."""
_SPEED = 0.2


def _air(seed: str, *plan: tuple[float, float | None]) -> Airwaves:
    """Give the orders of a plan: when, and for how many seconds (0: stop; None: a bad order).

    Good ones are numbered one after the other, from a number that the seed gives.
    """
    rng = random.Random(f"harbour {seed}")
    number = rng.randrange(20, 900)
    bad: list[str | bytes] = [_RUN_ME, *rng.sample(_BAD, len(_BAD))]
    orders = []
    for at, seconds in plan:
        what: Any
        if seconds is None:
            what = bad.pop(0)
        else:
            number += 1
            what = {"speed": _SPEED, "seconds": seconds, "number": number}
            if not seconds:
                what = {"speed": 0, "number": number}
        orders.append(Order(at, what))
    return Airwaves(orders=orders)


def ready_script(seed: int) -> Airwaves:
    """Let the tug go and end by itself, then go and be stopped; bad orders in between."""
    if seed == 1:
        return _air(
            "ready 1", (2.8, None), (3.3, None), (3.9, 1.4), (6.2, None), (6.8, 20.0), (8.0, 0.0)
        )
    return _air(f"ready {seed}", (3.0, 1.2), (5.2, None))


def leg_script(seed: int) -> Airwaves:
    """Let the tug go; the first time it is stopped on the way, and goes on later."""
    if seed == 1:
        return _air("leg 1", (2.8, None), (3.4, 60.0), (6.6, 0.0), (8.0, 60.0))
    return _air(f"leg {seed}", (2.8, 60.0))


def run_script(seed: int) -> Airwaves:
    """Let the tug go once, behind a bad order."""
    return _air(f"run {seed}", (2.8, None), (3.2, 60.0))
