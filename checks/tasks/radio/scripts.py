"""What the harbour office sends in the tasks of the lesson `radio`: the same for the same seed."""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import Any

from robotsim.radio import KEY, NETWORK, AccessPoint, Airwaves, Order, Outage

from ..orders import GIVEAWAY

__all__ = ["GIVEAWAY", "PAIR_S", "helm_script", "lamp_script", "lost_script", "report_script"]

_RUN_ME = 'print(6 * 7, "times evaluated") or '
"""A program in place of an order; run, it gives an order that could be obeyed, and prints."""
_BAD_LAMPS: tuple[str | bytes, ...] = (
    "{'lamps': [0, 0, 90]}",
    '{"lamps": [80, 80, 0]',
    '{"lamps": [300, 300, 0]}',
    '{"lamps": [-20, -20, 70]}',
    '{"lamps": "yellow"}',
    '{"lamps": [0, 70]}',
    '{"lamps": [60.5, 60.5, 0]}',
    '{"lamps": [50, 50, 0], "hurry": 1}',
    "[0, 0, 200]",
    '{"lights": [40, 40, 0]}',
    b"\xff\xfe\x00",
    "",
    b'{"lamps": [' + b"0, " * 1500 + b"0]}",
    '{"lamps": [true, true, false]}',
    '{"lamps": ["60", "60", "0"]}',
    '{"lamps": [256, 256, 10]}',
    '{"lamps": [-1, -1, 95]}',
    '{"lamps": [75, 75, 5, 0]}',
    '{"lamps": "abc"}',
    '{"lamps": null}',
    '{"lamps": {"red": 85, "green": 85, "blue": 0}}',
    "[]",
    "255",
    '{"lamps": [45, 45, 300]}',
    '{"lamps": [25, 25, -7]}',
)
"""Orders for the lamps that must be refused, each for a reason of its own."""
_KINDS = (
    '{"lamps": [50, 50, 0], "hurry": 1}',
    '{"lamps": [true, true, false]}',
    "[0, 0, 200]",
    '{"lamps": [60.5, 60.5, 0]}',
    '{"lamps": [0, 70]}',
    '{"lamps": [75, 75, 5, 0]}',
    '{"lamps": [256, 256, 10]}',
    '{"lamps": [-1, -1, 95]}',
    '{"lamps": [80, 80, 0]',
    b"\xff\xfe\x00",
    '{"lamps": "abc"}',
    '{"lights": [40, 40, 0]}',
)
"""One of each kind of them, for a task that is about the answers."""
_OTHER_NAMES = ('{"lamps": [65, 65, 0], "number": 4}', '{"lamps": [35, 35, 0], "speed": 0}')
"""Refused where an order has `lamps` and no other name."""
_BAD_WAYS: tuple[str | bytes, ...] = (
    '{"speed": 5, "seconds": 0.25}',
    '{"speed": "0.2", "seconds": 0.25}',
    '{"speed": 0.2, "seconds": 0.25',
    '{"speed": 0.2, "seconds": 0.25, "hurry": true}',
    '{"speed": 0.2, "radius": 0.045, "seconds": 0.25}',
    '{"speed": 0.2, "radius": "0.3", "seconds": 0.25}',
    '{"speed": -0.51, "seconds": 0.25}',
    '{"speed": 0.2, "radius": -101, "seconds": 0.25}',
    '{"speed": 0.2, "seconds": 0.25, "lamps": [90, 90, 0]}',
    '{"speed": 0.2, "secnods": 0.25}',
    '{"radius": 0.3, "seconds": 0.25}',
    "[0.2, 0.25]",
    '{"speed": 0.2, "seconds": -1}',
    '{"speed": 0.2, "seconds": true}',
    '{"speed": 0.2}',
    '{"speed": 0.2, "seconds": 61}',
)
"""Orders for the wheels that must be refused; those that would move a tug for long stand last."""
_LONG = 3


def _mixed(rng: random.Random, good: Sequence[Any], bad: Sequence[Any]) -> list[Any]:
    """Mix good and bad orders; the first and the last are good ones."""
    middle = [*good[1:-1], *bad]
    rng.shuffle(middle)
    return [good[0], *middle, good[-1]]


def _half(all_of_them: Sequence[Any], seed: int) -> list[Any]:
    """Give every other one: two seeds, one odd and one even, have them all."""
    return list(all_of_them[seed % 2 :: 2])


def lamp_script(seed: int) -> Airwaves:
    """Give seven good orders for the lamps among half of the bad ones.

    Red and green are equal in every colour, so that it does not matter in which order a tug's
    lamps take them.
    """
    rng = random.Random(f"lamps {seed}")
    shades = rng.sample(range(100, 250, 10), 5)
    good = [
        {"lamps": rng.choice([[v, v, 0], [0, 0, v], [v, v, v], [v, v, 30], [15, 15, v]])}
        for v in shades
    ]
    good[1:1] = [{"lamps": [255, 255, 0]}, {"lamps": [0, 0, 0]}]
    run_me = f'{_RUN_ME}{{"lamps": [90, 90, 0]}}'
    messages = _mixed(rng, good, [run_me, *_half((*_BAD_LAMPS, *_OTHER_NAMES), seed)])
    times = [0.5] + [4.0 + 0.5 * k for k in range(len(messages) - 1)]
    orders = [Order(at, what, retain=at == 0.5) for at, what in zip(times, messages, strict=True)]
    return Airwaves(orders=orders)


def _bad_ways(rng: random.Random, seed: int, since: float) -> list[tuple[float, Any]]:
    """Give when half of the bad orders for the wheels come, and what they are.

    Each leaves time enough to see whether it was it that moved the tug.
    """
    short = [f'{_RUN_ME}{{"speed": 0.2, "seconds": 0.25}}', *_half(_BAD_WAYS[:-_LONG], seed)]
    rng.shuffle(short)
    ways: list[tuple[float, Any]] = [(since + 0.45 * k, what) for k, what in enumerate(short)]
    since += 0.45 * len(short)
    return ways + [
        (since + 1.2 * k, what) for k, what in enumerate(_half(_BAD_WAYS[-_LONG:], seed))
    ]


def helm_script(seed: int) -> Airwaves:
    """Give orders for the wheels: ahead, astern, round, one in another's place, and bad ones.

    With an even seed all goes the other way, ahead for astern and port for starboard, so that
    nobody gets far who has learnt the times by heart.
    """
    rng = random.Random(f"helm {seed}")
    side = way = 1 if seed % 2 else -1
    speed, slow = way * rng.choice([0.18, 0.2, 0.22]), way * rng.choice([0.14, 0.15])
    tight = rng.choice([0.18, 0.2])
    ways: list[tuple[float, Any]] = [
        (4.0, {"speed": speed, "seconds": 2}),
        (7.6, {"speed": -slow, "seconds": 2}),
        (11.2, {"speed": slow, "radius": side * tight, "seconds": 3}),
        (21.2, {"speed": -slow, "seconds": 5}),
        (23.2, {"speed": slow, "radius": side * 0.25, "seconds": 2}),
        (27.0, {"speed": way * -0.12, "seconds": 60}),
        (28.0, '{"speed": 0, "hurry": true}'),
        (28.6, {"speed": 0}),
    ]
    ways += _bad_ways(rng, seed, since=15.8)
    return Airwaves(orders=[Order(at, what) for at, what in sorted(ways, key=lambda w: w[0])])


PAIR_S = 0.02
"""So close together come two orders that both must be answered, in s."""


def report_script(seed: int) -> Airwaves:
    """Give numbered orders for the lamps, and half of the kinds of bad ones; some come in pairs."""
    rng = random.Random(f"report {seed}")
    first = rng.randrange(10, 500)
    good = [{"lamps": [51 * k, 51 * k, 50], "number": first + 3 * k} for k in range(6)]
    run_me = f'{_RUN_ME}{{"lamps": [90, 90, 0]}}'
    messages = _mixed(rng, good, [run_me, *_half(_KINDS, seed)])
    orders, at = [], 4.5
    for k, what in enumerate(messages):
        orders.append(Order(at, what))
        at += PAIR_S if k in (1, 4) else 0.7
    return Airwaves(orders=orders)


def lost_script(seed: int) -> Airwaves:
    """Take the network away for a while, the broker, and last of all let a cut be silent."""
    rng = random.Random(f"lost {seed}")
    off, down = 6.0 + rng.random(), 16.5 + rng.random()
    ways: list[tuple[float, Any]] = [
        (4.0, {"speed": 0.1, "seconds": 30, "number": 1}),
        (15.0, {"speed": -0.1, "seconds": 30, "number": 2}),
        (25.5, {"speed": 0.1, "seconds": 1.5, "number": 3}),
        (28.5, f'{_RUN_ME}{{"speed": 0.2, "seconds": 0.25}}'),
        (48.0, {"speed": -0.1, "seconds": 1, "number": 4}),
    ]
    bad = [_BAD_WAYS[3], *rng.sample([*_BAD_WAYS[:3], *_BAD_WAYS[4:-_LONG]], 4)]
    ways += [(11.6 + 0.45 * k, what) for k, what in enumerate(bad)]  # after a lost link
    network = AccessPoint(NETWORK, KEY, spells=((off, off + 2.5, None),))
    return Airwaves(
        orders=[Order(at, what) for at, what in ways], networks=(network,),
        outages=(Outage(down, 2.0),), cuts=((30.0, 41.0),),
    )  # fmt: skip
