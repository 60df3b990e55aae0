"""Message: what a learner's laptop tells the room, written here and read strictly here.

What arrives comes from laptops that are not ours: it is data, and nothing in it is trusted.  The
only free text is the alias.  Topics are `harbour/room/<key>/<what>`: the key is a random name of
the laptop, `what` is "ready" or a task's id.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import date
from typing import Any

from robotsim import KitError
from robotsim.live.access import ROOM

from ..mistakes import COMMON
from ..tasks import TASKS

__all__ = [
    "LINES", "MOST_SECONDS", "READY", "BadMessage", "Ready", "Tried", "check_alias", "read",
    "read_topic", "today", "topic", "write",
]  # fmt: skip

READY = "ready"
LINES = (
    "Python", "packages", "kernel", "browser", "port", "board", "MicroPython", "compiled core",
    "lessons folder", "environment",
)  # fmt: skip
"""The lines of the doctor that may not be ready; the last one is the launcher's."""
NO_PROGRAM = "the program is not on the board"
_LONGEST = 600
"""Bytes of the longest payload that is read; ours stay below 400."""
_ALIAS = 20
_KEY = re.compile(r"[0-9a-f]{16}")
_RUN = re.compile(r"[0-9a-f]{8}")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
MOST_SECONDS = 86_400
"""The longest time since a first try that is told: a day."""
_MOST_TRIES = 10_000


class BadMessage(ValueError):
    """What arrived is no message of ours; the reason is one of a few words."""


@dataclass(frozen=True)
class Ready:
    """A laptop is in the room.

    Attributes:
        alias: What its learner wants to be called.
        day: The day, as the laptop has it.
        lacking: The lines of the doctor that are not ready; None: not looked at yet.
    """

    alias: str
    day: str
    lacking: tuple[str, ...] | None


@dataclass(frozen=True)
class Tried:
    """How a task stands on a laptop, since its notebook was opened.

    Attributes:
        alias: As before.
        day: As before.
        task: The task's id.
        points: The best of all tries.
        tries: How many.
        since: From the first try until it was told, in whole s.
        cause: The likeliest cause that the last card named; None for none.
        run: A random name of the notebook's kernel: another one counts its tries anew.
    """

    alias: str
    day: str
    task: str
    points: float
    tries: int
    since: int
    cause: str | None
    run: str


def today(now: float) -> str:
    """Give the day of a time on the wall, in s since 1970, where this computer is."""
    return date.fromtimestamp(now).isoformat()


def check_alias(alias: object) -> str:
    """Give an alias as it is told.

    Raises:
        KitError: It cannot be shown.
    """
    text = alias.strip() if isinstance(alias, str) else ""
    if not (0 < len(text) <= _ALIAS and text.isprintable()):
        raise KitError(
            f"An alias has 1 to {_ALIAS} characters that can be printed, not {alias!r}.",
            hint='a word of your own that is not your name, such as "Gull".',
        )
    return text


def topic(key: str, what: str) -> str:
    """Give the topic under which a laptop tells something."""
    return f"{ROOM}/{key}/{what}"


def read_topic(name: str) -> tuple[str, str]:
    """Give (key, what) of a topic below the room's.

    Raises:
        BadMessage: It is none of ours.
    """
    key, _, what = name.removeprefix(f"{ROOM}/").partition("/")
    if not _KEY.fullmatch(key):
        raise BadMessage("no key")
    if what != READY and what not in TASKS:
        raise BadMessage("unknown task")
    return key, what


def write(told: Ready | Tried) -> bytes:
    """Give a message's payload."""
    plain = {name: value for name, value in vars(told).items() if name != "task"}
    return json.dumps(plain, ensure_ascii=False, separators=(",", ":")).encode()


def read(what: str, payload: bytes) -> Ready | Tried:
    """Read a payload; a cause that this kit does not know is left out.

    Raises:
        BadMessage: It is none of ours.
    """
    if len(payload) > _LONGEST:
        raise BadMessage("too long")
    try:
        plain = json.loads(payload.decode("utf-8"))
    except (ValueError, RecursionError) as fault:
        raise BadMessage("not JSON") from fault
    names = {"alias", "day"} | (
        {"lacking"} if what == READY else {"points", "tries", "since", "cause", "run"}
    )
    if not isinstance(plain, dict) or set(plain) != names:
        raise BadMessage("other fields")
    try:
        alias = check_alias(plain["alias"])
    except KitError as fault:
        raise BadMessage("no alias") from fault
    if not _is_text(plain["day"], _DAY):
        raise BadMessage("a field's value")
    if what == READY:
        return Ready(alias, plain["day"], _lines(plain["lacking"]))
    return _tried(alias, what, plain)


def _tried(alias: str, task: str, plain: dict[str, Any]) -> Tried:
    points, tries, since, cause = (plain[name] for name in ("points", "tries", "since", "cause"))
    right = (
        type(points) in (int, float) and 0 <= points <= TASKS[task].points
        and type(tries) is int and 1 <= tries <= _MOST_TRIES
        and type(since) is int and 0 <= since <= MOST_SECONDS
        and (cause is None or isinstance(cause, str)) and _is_text(plain["run"], _RUN)
    )  # fmt: skip
    if not right:
        raise BadMessage("a field's value")
    known = {NO_PROGRAM, *(mistake.name for mistake in (*COMMON, *TASKS[task].mistakes))}
    told = cause if cause in known else None
    return Tried(alias, plain["day"], task, float(points), tries, since, told, plain["run"])


def _lines(lacking: Any) -> tuple[str, ...] | None:
    if lacking is None:
        return None
    if not isinstance(lacking, list) or not all(
        isinstance(name, str) and name in LINES for name in lacking
    ):
        raise BadMessage("a field's value")
    return tuple(name for name in LINES if name in lacking)


def _is_text(value: Any, pattern: re.Pattern[str]) -> bool:
    return isinstance(value, str) and pattern.fullmatch(value) is not None
