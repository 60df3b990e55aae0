"""Made-up classes that tell a room what laptops would."""

from __future__ import annotations

import json
import random
from collections.abc import Sequence
from typing import Any

from checks import TASKS
from checks.room.message import today
from checks.room.model import Room

NOON = 1_800_000_000.0
"""A time, in s since 1970."""
MINUTE = 60.0
BIRDS = (
    "Gull", "Heron", "Tern", "Puffin", "Eider", "Plover", "Osprey", "Curlew", "Dunlin", "Teal",
    "Wigeon", "Cormorant",
)  # fmt: skip


def key(number: int) -> str:
    """Give a laptop's key."""
    return f"{number:016x}"


def ready(alias: str = "Gull", lacking: Sequence[str] | None = (), **other: Any) -> bytes:
    """Give a message as a laptop's doctor tells it."""
    told = {"alias": alias, "day": today(NOON), "lacking": lacking and list(lacking)} | other
    told["lacking"] = [] if told["lacking"] == () else told["lacking"]
    return json.dumps(told).encode()


def tried(alias: str = "Gull", points: float = 0, tries: int = 1, **other: Any) -> bytes:
    """Give a message as a check tells it."""
    told = {"alias": alias, "day": today(NOON), "points": points, "tries": tries, "since": 0,
            "cause": None, "run": "0000000a"} | other  # fmt: skip
    return json.dumps(told).encode()


def a_class(count: int = 60, seed: int = 1) -> tuple[Room, float]:
    """Give a class some way into the lesson `drive`, and the time."""
    room, chance = Room(), random.Random(seed)
    causes = ["trim on the wrong side", "motors left on", None]
    known = [m.name for m in TASKS["drive.straight"].mistakes]
    assert causes[0] in known
    tasks = [name for name, task in TASKS.items() if task.lesson in ("lamps", "drive")]
    for number in range(count):
        alias = BIRDS[number % len(BIRDS)] + ("", " East", " West", " Jr", " at sea")[number // 12]
        lacking = ("packages", "kernel") if number % 23 == 5 else None if number % 17 == 3 else ()
        room.hear(key(number), "ready", ready(alias, lacking), NOON)
        if lacking:
            continue
        far = chance.randint(2, len(tasks) - 1)
        for place, task in enumerate(tasks[:far]):
            room.hear(key(number), task, tried(alias, TASKS[task].points, run="0000000b"),
                      NOON + MINUTE * place)  # fmt: skip
        last = NOON + MINUTE * chance.choice((14, 24, 28, 31, 33))
        for k in range(chance.randint(1, 5)):
            told = tried(alias, 2.5, k + 1, cause=chance.choice(causes))
            room.hear(key(number), tasks[far], told, last + k)
    return room, NOON + 35 * MINUTE
