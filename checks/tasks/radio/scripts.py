"""What the harbour office sends in the tasks of the lesson `radio`: the same for the same seed."""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import Any

from robotsim.radio import KEY, NETWORK, AccessPoint, Airwaves, Order, Outage

__all__ = ["GIVEAWAY", "helm_script", "lamp_script", "lost_script", "report_script"]

GIVEAWAY = "42 times evaluated"
"""What the console shows if a program runs what arrives."""
_RUN_ME = 'print(6 * 7, "times evaluated") or {"lamps": [90, 90, 0]}'
_BAD_LAMPS: tuple[str | bytes, ...] = (
    _RUN_ME,
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
)
"""Orders for the lamps that must be refused, each for a reason of its own."""
_BAD_WAYS: tuple[str | bytes, ...] = (
    'print(6 * 7, "times evaluated") or {"speed": 0.2, "seconds": 2}',
    '{"speed": 5, "seconds": 2}',
    '{"speed": 0.2}',
    '{"speed": "0.2", "seconds": 2}',
    '{"speed": 0.2, "seconds": 2',
    '{"speed": 0.2, "seconds": 2, "hurry": true}',
    '{"speed": 0.2, "radius": 0.01, "seconds": 2}',
    '{"speed": 0.2, "radius": "0.3", "seconds": 2}',
    '{"speed": 0.2, "seconds": 600}',
    '{"speed": 0.2, "seconds": true}',
)
"""Orders for the wheels that must be refused."""


def _mixed(rng: random.Random, good: Sequence[Any], bad: Sequence[Any]) -> list[Any]:
    """Mix good and bad orders; the first and the last are good ones."""
    middle = [*good[1:-1], *bad]
    rng.shuffle(middle)
    return [good[0], *middle, good[-1]]


def lamp_script(seed: int, few: int | None = None) -> Airwaves:
    """Give seven good orders for the lamps among the bad ones: all of these, or only a few.

    Red and green are equal in every colour, so that it does not matter in which order a tug's
    lamps take them.
    """
    rng = random.Random(f"lamps {seed}")
    shades = rng.sample(range(100, 250, 10), 7)
    good = [
        {"lamps": rng.choice([[v, v, 0], [0, 0, v], [v, v, v], [v, v, 30], [15, 15, v]])}
        for v in shades
    ]
    bad = [_RUN_ME, *rng.sample(_BAD_LAMPS[1:], (few or len(_BAD_LAMPS)) - 1)]
    messages = _mixed(rng, good, bad)
    times = [0.5] + [4.0 + 0.5 * k for k in range(len(messages) - 1)]
    orders = [Order(at, what, retain=at == 0.5) for at, what in zip(times, messages, strict=True)]
    return Airwaves(orders=orders)


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
        (7.0, {"speed": -slow, "seconds": 2}),
        (10.0, {"speed": slow, "radius": side * tight, "seconds": 3}),
        (17.5, {"speed": -slow, "seconds": 6}),
        (19.5, {"speed": slow, "radius": side * 0.25, "seconds": 2}),
        (23.0, {"speed": way * -0.12, "seconds": 20}),
        (24.0, {"speed": 0}),
    ]
    others = random.Random("ways").sample(_BAD_WAYS[1:], len(_BAD_WAYS) - 1)
    bad = others[:5] if seed % 2 else others[5:]  # two seeds, one odd and one even, have them all
    bad.insert(rng.randrange(len(bad) + 1), _BAD_WAYS[0])
    ways += [(13.8 + 0.6 * k, what) for k, what in enumerate(bad)]
    return Airwaves(orders=[Order(at, what) for at, what in sorted(ways, key=lambda w: w[0])])


def report_script(seed: int, bad: int) -> Airwaves:
    """Give numbered orders for the lamps, and some bad ones."""
    rng = random.Random(f"report {seed}")
    first = rng.randrange(10, 500)
    good = [{"lamps": [20 * k, 20 * k, 50], "number": first + 3 * k} for k in range(6)]
    wrong = [_RUN_ME, *rng.sample(_BAD_LAMPS[1:11], bad - 1)]
    messages = _mixed(rng, good, wrong)
    return Airwaves(orders=[Order(4.5 + 0.7 * k, what) for k, what in enumerate(messages)])


def lost_script(seed: int) -> Airwaves:
    """Take the network away for a while, the broker, and last of all let a cut be silent."""
    rng = random.Random(f"lost {seed}")
    off, down = 6.0 + rng.random(), 16.5 + rng.random()
    ways: list[tuple[float, Any]] = [
        (4.0, {"speed": 0.1, "seconds": 30, "number": 1}),
        (15.0, {"speed": -0.1, "seconds": 30, "number": 2}),
        (25.5, {"speed": 0.1, "seconds": 1.5, "number": 3}),
        (28.0, rng.choice(_BAD_WAYS[1:])),
        (28.7, _BAD_WAYS[0]),
        (48.0, {"speed": -0.1, "seconds": 1, "number": 4}),
    ]
    network = AccessPoint(NETWORK, KEY, spells=((off, off + 2.5, None),))
    return Airwaves(
        orders=[Order(at, what) for at, what in ways], networks=(network,),
        outages=(Outage(down, 2.0),), cuts=((30.0, 41.0),),
    )  # fmt: skip
