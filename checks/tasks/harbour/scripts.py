"""What the office sends in the tasks of the lesson `harbour`: the same for the same seed."""

from __future__ import annotations

import random
from typing import Any

from robotsim.radio import Airwaves, Order

__all__ = ["leg_script", "ready_script", "run_script"]

_RUN_ME = 'print(6 * 7, "times evaluated") or {"speed": 0.2, "seconds": 60}'
"""What `radio_scripts.GIVEAWAY` shows on the console if a program runs what arrives."""
_NO_SECONDS = '{"speed": 0.2}'
_BAD = (
    "{'speed': 0.2, 'seconds': 60}",
    '{"speed": "0.2", "seconds": 60}',
    '{"speed": 2, "seconds": 60}',
    '{"speed": 0.2, "seconds": 60, "hurry": 1}',
    "[0.2, 60]",
)
"""Orders that must be refused, each for a reason of its own; `_NO_SECONDS` as well.

Python would run them all: a program that does so gives itself away before it fails.
"""
_SPEED = 0.2
_STRANGER = Order(3.0, {"speed": _SPEED, "seconds": 60, "number": 7}, to="harbour/tug-1000/order")
"""What another tug is told; none of ours has that number."""


def _air(seed: str, *plan: tuple[float, float | str]) -> Airwaves:
    """Give the orders of a plan: when, and for how many seconds (0: stop), or a bad order as it is.

    Good ones are numbered one after the other, from a number that the seed gives.
    """
    number = random.Random(f"harbour {seed}").randrange(20, 900)
    orders = [_STRANGER]
    for at, seconds in plan:
        what: Any = seconds
        if isinstance(seconds, (int, float)):
            number += 1
            what = {"speed": _SPEED, "seconds": seconds, "number": number}
            if not seconds:
                what = {"speed": 0, "number": number}
        orders.append(Order(at, what))
    return Airwaves(orders=sorted(orders, key=lambda order: order.at))


def ready_script(seed: int) -> Airwaves:
    """Let the tug go and end by itself, go and be stopped, and go again; bad orders in between.

    The second order would be over at 9.4 s: who lets its time run on says so then.
    """
    bad = random.Random("harbour ready").sample(_BAD, len(_BAD))
    if seed == 1:
        return _air(
            f"ready {seed}", (2.8, _RUN_ME), (3.2, _NO_SECONDS), (3.6, bad[0]), (4.2, 1.0),
            (6.0, bad[1]), (6.4, bad[2]), (6.9, 2.5), (7.9, 0.0), (10.2, 0.7),
        )  # fmt: skip
    return _air(
        f"ready {seed}", *((2.8 + 0.4 * k, what) for k, what in enumerate(bad[3:])), (4.8, 1.9)
    )


def leg_script(seed: int) -> Airwaves:
    """Let the tug go; the first time it is stopped on the way, then its time is over, then not.

    Full effort does not bring it to the bar in the first two spells.
    """
    if seed == 1:
        return _air(
            "leg 1", (2.8, _RUN_ME), (3.2, _NO_SECONDS), (3.6, 60.0), (6.2, 0.0), (7.6, 1.0),
            (10.0, 60.0),
        )  # fmt: skip
    return _air(f"leg {seed}", (3.2, 60.0))


def run_script(seed: int) -> Airwaves:
    """Let the tug go once, behind bad orders."""
    return _air(f"run {seed}", (2.7, _RUN_ME), (2.85, _NO_SECONDS), (3.2, 60.0))
