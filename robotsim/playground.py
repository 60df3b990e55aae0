"""Playground: tables, tasks and races of one's own.  Nothing here is marked.

>>> own_table("pond", line=[("straight", 0.5), ("bend", 0.2, 180)])
>>> made = run("lap.py", table="pond", seconds=20)
>>> race(made, "within 5 cm of the end of the line")
"""

from __future__ import annotations

import hashlib
import json
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .calls import Value, called_as
from .errors import KitError, UnknownNameError
from .recording import Recording
from .table import TABLES, Table, make_table
from .table.own import table_of

__all__ = ["PLACES", "TABLES_KEPT", "Answer", "ask", "open_table", "own_table", "race", "turns"]

TABLES_KEPT = "my-tables"
"""The folder in which tables and best runs are kept, beside the notebook."""
PLACES = ("the dock", "the start", "the end of the line", "the line", "0.5, 0.4")
_KITS = frozenset(TABLES)
_NAME = re.compile(r"[a-z][a-z0-9-]{0,30}")
_ASKED = re.compile(r"within (\d+(?:\.\d+)?) (mm|cm|m) of (.+)")
_ASK = 'ask(made, "within 5 cm of the dock")'
_MADE = Value(
    Recording, "what run gave", f'keep it under a name, made = run("lap.py"), then {_ASK}.'
)
_NAMED = Value(str, "a table's name in quotes")
_PLACE = Value(str, "what is asked, in quotes")
_UNITS = {"mm": 0.001, "cm": 0.01, "m": 1.0}
_MOST_BYTES = 100_000


@dataclass(frozen=True)
class Answer:
    """What came of something that was asked; no mark.

    Attributes:
        asked: What was asked, in words.
        nearest: The smallest distance from the place, in m.
        first: When the tug first was near enough, in s; None if never.
        at_end: The distance at the end, in m.
    """

    asked: str
    nearest: float
    first: float | None
    at_end: float

    def __repr__(self) -> str:
        """Say it in words."""
        end = f"at the end {100 * self.at_end:.1f} cm away"
        if self.first is None:
            return f"No: never {self.asked}; {100 * self.nearest:.1f} cm at the nearest, {end}."
        return f"Yes: {self.asked} for the first time at {self.first:.2f} s; {end}."


@called_as('own_table("pond", line=[("straight", 0.5)])', name=_NAMED)
def own_table(name: str, **plan: Any) -> None:
    """Lay out a table of one's own, for `run(..., table=name)`, and keep it as a small file.

    Args:
        name: Its name: small letters, digits and -.
        plan: Its parts; see `robotsim.table.own.table_of`.

    Raises:
        KitError: The name is taken or none, or something in the plan cannot be.
    """
    _ask_name(name)
    _lay_out(name, table_of(name, plan))
    path = Path(TABLES_KEPT) / f"{name}.json"
    path.parent.mkdir(exist_ok=True)
    path.write_text(json.dumps({"table": name, **plan}, indent=1) + "\n", encoding="utf-8")
    print(f"The table {name} is laid out, and kept as {path.as_posix()}: give that file to others.")


@called_as('open_table("pond")', name=_NAMED)
def open_table(name: str) -> None:
    """Lay out a table from its file, such as one that a neighbour gave: `open_table("pond")`.

    Raises:
        KitError: There is no such file in `my-tables`, or it holds no table.
    """
    _ask_name(name)
    folder = Path(TABLES_KEPT)
    path = folder / f"{name}.json"
    if not path.is_file():
        raise UnknownNameError("table of your own", name, [p.stem for p in folder.glob("*.json")])
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise ValueError("too large")
        plan = json.loads(path.read_text(encoding="utf-8"))
        if not isinstance(plan, dict):
            raise ValueError("no plan")
        plan.pop("table", None)
    except (OSError, ValueError, RecursionError) as fault:
        raise KitError(
            f"This file holds no table ({fault}).", where=path.as_posix(),
            hint="ask for the file again, or lay the table out anew.",
        ) from fault  # fmt: skip
    _lay_out(name, table_of(name, plan))
    print(f"The table {name} is laid out.")


@called_as(_ASK, recording=_MADE, what=_PLACE)
def ask(recording: Recording, what: str) -> Answer:
    """Ask where the tug was: `ask(made, "within 5 cm of the dock")`.  This is no mark.

    Args:
        recording: What `run` gave.
        what: "within", a number, mm, cm or m, "of", and a place: the dock, the start, the line, the
            end of the line, or two numbers in m such as "0.5, 0.4".

    Raises:
        KitError: It is not understood, or the table has no such place.
    """
    reach, gone = _gone(recording, what)
    times = recording.tracks["t"]
    first = next((t for t, d in zip(times, gone, strict=True) if d <= reach), None)
    return Answer(what.strip(), min(gone), first, gone[-1])


@called_as('turns(made, "within 20 cm of the dock"), after made = run("a.py", beside=("b.py", 12))')
def turns(recordings: tuple[Recording, Recording], what: str) -> None:
    """Tell whether two tugs on one table took turns at a place, such as a lock for one at a time.

    Args:
        recordings: What `run(..., beside=...)` gave.
        what: The place; see `ask`.

    Raises:
        KitError: See `ask`; or these are not two tugs on one table.
    """
    pair = isinstance(recordings, tuple) and [*map(type, recordings)] == [Recording] * 2
    if not pair or recordings[0].beside != recordings[1].serial:
        raise KitError(
            "Turns are taken by two tugs on one table.", where="turns",
            hint='made = run("a.py", beside=("b.py", 12)), then turns(made, ...).',
        )  # fmt: skip
    inside = []
    for recording in recordings:
        reach, gone = _gone(recording, what)
        inside.append([away <= reach for away in gone])
        there = [t for t, is_in in zip(recording.tracks["t"], inside[-1], strict=True) if is_in]
        told = f"from {there[0]:.2f} to {there[-1]:.2f} s" if there else "never"
        print(f"Tug {recording.serial} was {what.strip()}: {told}.")
    times = recordings[0].tracks["t"]
    both = [t for t, *are_in in zip(times, *inside, strict=True) if all(are_in)]
    print(f"Both at once, first at {both[0]:.2f} s." if both else "Never both at once.")


def _gone(recording: Recording, what: str) -> tuple[float, list[float]]:
    """Give how near was asked for, and how far away the tug was at each sample, in m."""
    found = _ASKED.fullmatch(what.strip())
    if found is None:
        raise KitError(f"{what!r} is not understood.", where="ask",
                       hint='write it like "within 5 cm of the dock".')  # fmt: skip
    away = _away(found[3], make_table(recording.table, recording.seed))
    tracks = recording.tracks
    gone = [away(x, y) for x, y in zip(tracks["x"], tracks["y"], strict=True)]
    return float(found[1]) * _UNITS[found[2]], gone


@called_as('race(made, "within 5 cm of the dock")', recording=_MADE, what=_PLACE)
def race(recording: Recording, what: str) -> None:
    """Compare a run's time with one's best so far, and lay the two over each other.

    The better of the two is kept for another day, in the folder `my-tables`.

    Args:
        recording: What `run` gave.
        what: What has to be reached; see `ask`.

    Raises:
        KitError: See `ask`; or the best run so far cannot be read.
    """
    from .notebook import replay

    mine = ask(recording, what)
    if mine.first is None:
        print(mine)
        return
    kept = Path(TABLES_KEPT) / f"{_race_of(recording)} {re.sub(r'[^a-z0-9.]+', '-', what)}.best"
    best = Recording.load(kept) if kept.is_file() else None
    before = ask(best, what).first if best is not None and best.table == recording.table else None
    if before is None or mine.first < before:
        kept.parent.mkdir(exist_ok=True)
        recording.save(kept)
    if best is None or before is None:
        print(f"{mine.first:.2f} s: your first time here. It is kept as your ghost.")
        replay(recording)
        return
    lead = before - mine.first
    told = "faster than your best" if lead > 0 else "slower than your best"
    print(f"{mine.first:.2f} s, {abs(lead):.2f} s {told} ({before:.2f} s).")
    replay(recording, best, labels=("now", "ghost"))


def _race_of(recording: Recording) -> str:
    """Name a table as it is laid out now: a ghost belongs to no other layout."""
    laid = make_table(recording.table, recording.seed)
    parts = (laid.width, laid.height, laid.start, laid.walls, laid.prints, laid.dock)
    mark = hashlib.sha256(repr((parts, laid.float_start)).encode()).hexdigest()
    return f"{recording.table} {mark[:8]}"


def _ask_name(name: object) -> None:
    if not (isinstance(name, str) and _NAME.fullmatch(name)):
        raise KitError(f"A table's name is small letters, digits and -, not {name!r}.",
                       hint='own_table("pond", ...)')  # fmt: skip
    if name in _KITS:
        raise KitError(f"The table {name} is the kit's own.", hint="take another name.")


def _lay_out(name: str, laid: Table) -> None:
    TABLES[name] = lambda seed: laid


def _away(place: str, table: Table) -> Callable[[float, float], float]:
    """Give the function that tells how far a point is from a place."""
    line = table.line
    numbers = re.fullmatch(r"(\d+(?:\.\d+)?), *(\d+(?:\.\d+)?)", place)
    if place == "the line" and line is not None:
        return lambda x, y: abs(line.nearest(x, y).offset)
    point = None
    if numbers:
        point = (float(numbers[1]), float(numbers[2]))
    elif place == "the start":
        point = table.start[:2]
    elif place == "the dock" and table.dock is not None:
        point = (table.dock.x, table.dock.y)
    elif place == "the end of the line" and line is not None:
        point = line.at(line.length)[:2]
    if point is None:
        has = f"The table {table.name} has no place {place!r}."
        raise KitError(has, where="ask", hint=f"known places: {'; '.join(PLACES)}.")
    there = point
    return lambda x, y: math.dist((x, y), there)
