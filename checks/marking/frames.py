"""Frames: a head in JSON and some bytes, over a pipe; what marking and its workers speak."""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping, Sequence
from typing import IO, Any

from ..shown import whole_text

__all__ = ["Frame", "read_frame", "write_frame"]

Frame = tuple[dict[str, Any], list[bytes]]
_COUNT = struct.Struct("!I")


def write_frame(file: IO[bytes], head: Mapping[str, Any], parts: Sequence[bytes] = ()) -> None:
    """Write one frame."""
    plain = json.dumps({"head": dict(head), "sizes": [len(part) for part in parts]}).encode("ascii")
    file.write(_COUNT.pack(len(plain)) + plain)
    for part in parts:
        file.write(part)
    file.flush()


def read_frame(file: IO[bytes]) -> Frame | None:
    """Read one frame; None at the end, also one in the middle of a frame."""
    size = file.read(_COUNT.size)
    if len(size) < _COUNT.size:
        return None
    plain = file.read(_COUNT.unpack(size)[0])
    try:
        opened = json.loads(plain)
        if b"\\ud" in plain:  # half a letter, which no file and no page could hold further on
            opened = json.loads(whole_text(json.dumps(opened, ensure_ascii=False)))
    except ValueError:
        return None
    parts = [file.read(count) for count in opened["sizes"]]
    if [len(part) for part in parts] != opened["sizes"]:
        return None
    return opened["head"], parts
