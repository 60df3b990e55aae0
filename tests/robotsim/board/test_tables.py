"""Dicts, sets and sorting give the real interpreter's order, whatever was done to them before."""

from __future__ import annotations

import random

import pytest

from tests.robotsim.snippets import outputs

KEYS = ("a", "b", "left", "right", "speed", "radius", "port", 1, 2, 3, 17, -4, 100, None, b"ab")


@pytest.fixture
def engine() -> str:
    return "micropython"


def programs(draw: random.Random, count: int) -> list[str]:
    made = []
    for number in range(count):
        keys = [draw.choice(KEYS) for _ in range(draw.randrange(12))]
        if number % 10 == 0:
            keys += [draw.randrange(1000) for _ in range(draw.randrange(200))]
        pairs = ", ".join(f"{key!r}: {place}" for place, key in enumerate(keys))
        rows = [(place, place % 3) for place in range(len(keys))]
        lines = [f"d = {{{pairs}}}\ns = set({keys!r})\nl = {rows}"]
        for _ in range(draw.randrange(6)):
            key = draw.choice(KEYS)
            lines.append(draw.choice([
                f"d.pop({key!r}, 0)", f"d[{key!r}] = 5", f"s.discard({key!r})", f"s.add({key!r})",
                "d = d.copy()", f"d.update({{{key!r}: 1, 'zz': 2}})", "if d: d.popitem()",
                "d = dict(d)", "s = s - {1, 'a'}", "s = s | {7, 'q', 40}", "s = s ^ {2, 'b'}",
                "l.sort(key=lambda p: p[1])", "l = sorted(l, key=lambda p: -p[1], reverse=True)",
            ]))  # fmt: skip
        made.append("\n".join([*lines, "print(d, list(d.items()), s, l)"]))
    return made


def test_both_engines_go_through_them_in_the_same_order(need_engine: None) -> None:
    texts = programs(random.Random(11), 120)
    one, other = outputs(texts, "cpython"), outputs(texts, "micropython")
    wrong = [f"{t}\n{a}\n{b}" for t, a, b in zip(texts, one, other, strict=True) if a != b]
    assert not wrong, wrong[0]
