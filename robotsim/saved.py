"""Saved: what the bytes of a recording say, and nothing taken on trust.

A recording comes from a file, and a file from anywhere.  Whatever is in it is looked at before it
is believed: its size before it is unpacked, the kind of every value, the lengths that belong
together.  What does not fit is told in one `ValueError`; reading never runs anything.
"""

from __future__ import annotations

import json
import math
import zlib
from collections.abc import Callable, Collection, Mapping
from typing import Any

__all__ = [
    "LONGEST_DAY", "LONGEST_TWIN", "MOST_PACKED", "MOST_UNPACKED", "OLD_CHARGE", "OLD_DAY",
    "is_event", "tuples", "unpack",
]  # fmt: skip

MOST_PACKED = 32 * 1024 * 1024
"""Bytes that a recording may have as it is kept; the longest of the kit's tasks has 0.3 MB."""
MOST_UNPACKED = 192 * 1024 * 1024
"""Bytes that it may have as text."""
LONGEST_DAY = 80
"""Characters that the name of a day may have."""
LONGEST_TWIN = 300
"""Characters that the name of a twin's file may have."""
OLD_DAY, OLD_CHARGE = "", 0.55
"""What recordings have that were made before there were days."""

_FIELDS = {
    "program", "files", "table", "serial", "seed", "seconds", "engine", "ended", "ended_ns",
    "problem", "events", "tracks", "lines", "kept", "day", "charge", "build", "twin",
}  # fmt: skip
_LATER: dict[str, Any] = {
    "lines": [], "kept": {}, "day": OLD_DAY, "charge": OLD_CHARGE, "build": None, "twin": "",
}  # fmt: skip
"""Fields that older recordings do not have, with what they then are."""
_POSE = ("t", "x", "y", "heading")
_ENDS = ("finished", "time is up", "error", "stopped")
_WIDE = 1 << 63

_Test = Callable[[Any], bool]


def unpack(
    data: bytes, kinds: Mapping[str, tuple[str, ...]], roles: Collection[str]
) -> dict[str, Any]:
    """Give the fields of a recording as JSON has them, all of them as they must be.

    Args:
        data: What follows the recording's first line.
        kinds: The kinds of event, with the names of their data in order.
        roles: The roles of a tug's pins.

    Raises:
        ValueError: They are not.
    """
    if len(data) > MOST_PACKED:
        raise ValueError(f"it has more than {MOST_PACKED >> 20} MB")
    unpacked = zlib.decompressobj()
    try:
        text = unpacked.decompress(data, MOST_UNPACKED)
        if unpacked.unconsumed_tail:
            raise ValueError(f"unpacked it has more than {MOST_UNPACKED >> 20} MB")
        if not unpacked.eof or unpacked.unused_data:
            raise ValueError("it has too few bytes, or too many")
        plain = json.loads(text, parse_constant=_no_number)
    except zlib.error as fault:
        raise ValueError(str(fault)) from fault
    except RecursionError as fault:
        raise ValueError("it holds lists in lists without end") from fault
    except MemoryError as fault:
        raise ValueError("it needs more memory than there is") from fault
    if not isinstance(plain, dict):
        raise ValueError("it does not hold a recording's fields")
    plain = {**_LATER, **plain}
    if set(plain) != _FIELDS:
        raise ValueError(f"fields are missing or unknown: {_few(set(plain) ^ _FIELDS)}")
    _look(plain, kinds)
    if plain["build"] and set(plain["build"]["pins"]) != set(roles):
        raise ValueError(f"its tug has other roles: {_few(plain['build']['pins'])}")
    return plain


def _look(plain: Mapping[str, Any], kinds: Mapping[str, tuple[str, ...]]) -> None:
    """Look at every field.

    Raises:
        ValueError: One of them is not what it must be.
    """
    for name, test in _TESTS.items():
        if not test(plain[name]):
            raise ValueError(f"its {name} cannot be {_few([plain[name]])}")
    if plain["program"] not in plain["files"]:
        raise ValueError("its program is not among its files")
    _look_at_tracks(plain["tracks"])
    before = 0
    for event in plain["events"]:
        if not is_event(event, kinds):
            raise ValueError(f"no event is {_few([event])}")
        if event[0] < before:
            raise ValueError(f"its events are not in order of time, at {event[0]} ns")
        before = event[0]
    files = plain["files"]
    for line in plain["lines"]:
        if not (_list(line) and len(line) == 3 and _count(line[0]) and _count(line[2])):
            raise ValueError(f"no running line is {_few([line])}")
        if not _text(line[1]) or line[1] not in files:
            raise ValueError(f"a running line lies in no file: {_few([line])}")


def _look_at_tracks(tracks: Mapping[str, Any]) -> None:
    lengths = set()
    for name, column in tracks.items():
        if not (_list(column) and all(map(_number, column))):
            raise ValueError(f"its track {_few([name])} is no row of numbers")
        lengths.add(len(column))
    if not set(_POSE) <= set(tracks) or len(lengths) != 1 or lengths == {0}:
        raise ValueError("its tracks are missing, empty, or of different lengths")
    times = tracks["t"]
    if any(one >= two for one, two in zip(times, times[1:], strict=False)):
        raise ValueError("its samples are not in order of time")


def is_event(event: Any, kinds: Mapping[str, tuple[str, ...]]) -> bool:
    """Tell whether something, as JSON has it, is an event of one of these kinds."""
    if not (_list(event) and len(event) > 1 and _count(event[0]) and _text(event[1])):
        return False
    names = kinds.get(event[1])
    if names is None or len(names) != len(event) - 2:
        return False
    return all(_DATA.get(name, _text)(item) for name, item in zip(names, event[2:], strict=True))


def _is_problem(told: Any) -> bool:
    if told is None:
        return True
    words = ("kind", "message", "file", "source", "hint")
    if not isinstance(told, dict) or set(told) != {*words, "line", "calls"}:
        return False
    calls = told["calls"]
    if not (all(_text(told[word]) for word in words) and _count(told["line"]) and _list(calls)):
        return False
    return all(
        _list(call) and len(call) == 3 and _text(call[0]) and _count(call[1]) and _text(call[2])
        for call in calls
    )


def _is_build(told: Any) -> bool:
    if told is None:
        return True
    if not isinstance(told, dict) or set(told) != {"pins", "lamps", "wheel", "track"}:
        return False
    if not isinstance(told["pins"], dict) or not all(map(_count, told["pins"].values())):
        return False
    sizes = (told["wheel"], told["track"])
    return _count(told["lamps"]) and all(_number(one) and 0 < one < 1 for one in sizes)


def _text(item: Any) -> bool:
    return isinstance(item, str)


def _flag(item: Any) -> bool:
    return isinstance(item, bool)


def _list(item: Any) -> bool:
    return isinstance(item, list)


def _whole(item: Any) -> bool:
    return isinstance(item, int) and not isinstance(item, bool) and -_WIDE < item < _WIDE


def _count(item: Any) -> bool:
    return _whole(item) and item >= 0


def _number(item: Any) -> bool:
    return _whole(item) or (isinstance(item, float) and math.isfinite(item))


def _texts(item: Any) -> bool:
    return isinstance(item, dict) and all(map(_text, item.values()))


def _colours(item: Any) -> bool:
    return _list(item) and all(
        _list(one) and len(one) == 3 and all(_count(part) and part < 256 for part in one)
        for one in item
    )


_DATA: dict[str, _Test] = {
    **dict.fromkeys(("pin", "level", "timing", "raw", "address", "duration_ns", "number", "line",
                     "size", "qos", "duty_u16"), _count),
    "freq_hz": lambda item: _number(item) and item >= 0, "impulse": _number,
    "colours": _colours, "retain": _flag, "duplicate": _flag,
}  # fmt: skip
"""An event's datum by its name to what it must be; what is not named is text."""

_TESTS: dict[str, _Test] = {
    "program": _text, "files": _texts, "table": _text, "serial": _count, "seed": _whole,
    "seconds": lambda item: _number(item) and 0 < item <= 1e6, "engine": _text,
    "ended": lambda item: _text(item) and item in _ENDS, "ended_ns": _count,
    "problem": _is_problem, "events": _list, "tracks": lambda item: isinstance(item, dict),
    "lines": _list, "kept": _texts, "day": lambda item: _text(item) and len(item) <= LONGEST_DAY,
    "charge": lambda item: _number(item) and 0 <= item <= 1, "build": _is_build,
    "twin": lambda item: _text(item) and len(item) <= LONGEST_TWIN,
}  # fmt: skip


def _no_number(word: str) -> None:
    raise ValueError(f"{word} is no number")


def _few(items: Any) -> str:
    """Give a few words of something that may be large, or anything."""
    return ", ".join(ascii(item)[:60] for item in list(items)[:4])


def tuples(value: Any) -> Any:
    """Turn JSON's lists back into the tuples that were saved."""
    return tuple(tuples(item) for item in value) if isinstance(value, list) else value
