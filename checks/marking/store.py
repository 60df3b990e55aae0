"""Store: results of checks and repaired notebooks, by a name that tells what they came of.

The same program on the same tug under the same kit gives the same result, so nothing is worked
out twice, for one learner or for thirty.  Each file is written whole or not at all; one that is
damaged is made again.
"""

from __future__ import annotations

import hashlib
import io
import zlib
from pathlib import Path
from typing import Any

from ..course.classroom import OWN
from ..whole import write_whole
from .client import Result, Worker
from .frames import read_frame, write_frame
from .requests import Request, kit_mark

__all__ = ["Store"]


class Store:
    """What marking a course has worked out so far.

    Args:
        course: The course folder.
    """

    def __init__(self, course: Path) -> None:
        self.course = course
        self.folder = course / OWN / "worked out"

    def notebook(
        self, data: bytes, handed_out: bytes, lesson: str, worker: Worker | None = None
    ) -> tuple[dict[str, Any], bytes] | None:
        """Give a learner's file in order: notes, and the notebook; None without a worker."""
        found = self._load(_name(data, handed_out, lesson), "notebook")
        if found is None and worker is not None:
            return self.keep_notebook(
                data, handed_out, lesson, *worker.read(data, handed_out, lesson)
            )
        return None if found is None else (found[0], found[1][0])

    def keep_notebook(
        self, data: bytes, handed_out: bytes, lesson: str, head: dict[str, Any], parts: list[bytes]
    ) -> tuple[dict[str, Any], bytes]:
        """Keep a file in order that was made elsewhere, and give it."""
        self._save(_name(data, handed_out, lesson), "notebook", head, parts)
        return head, parts[0]

    def result(
        self, request: Request, worker: Worker | None = None, *, again: bool = False
    ) -> Result | None:
        """Give what came of a check; None if nobody has run it and there is no worker.

        That it could not be run is no result for long: asked `again`, it is run once more.
        """
        found = self._load(request.mark, "result")
        if found is not None and again and "fault" in found[0]:
            found = None
        if found is None and worker is not None:
            found = worker.check(request)
            self._save(request.mark, "result", *found)
        return None if found is None else Result(*found)

    def by_mark(self, mark: str) -> Result | None:
        """Give a result by its request's name."""
        found = self._load(mark, "result")
        return None if found is None else Result(*found)

    def keep(self, request: Request, result: Result) -> None:
        """Keep what came of a check elsewhere."""
        self._save(request.mark, "result", *result)

    def picture(self, request: Request, trial: int, worker: Worker | None = None) -> str | None:
        """Give the picture of one of a check's trials as HTML, or None."""
        kind = f"picture{trial}"
        found = self._load(request.mark, kind)
        if found is None and worker is not None:
            result = self.result(request)
            if result is None or trial >= len(result.recordings):
                return None
            found = {}, [worker.draw(request.task, result.recordings[trial])]
            self.keep_picture(request, trial, found[1][0])
        return None if found is None else found[1][0].decode("utf-8")

    def keep_picture(self, request: Request, trial: int, picture: bytes) -> None:
        """Keep a picture that was drawn elsewhere."""
        self._save(request.mark, f"picture{trial}", {}, [picture])

    def _path(self, name: str, kind: str) -> Path:
        return self.folder / name[:2] / f"{name}.{kind}"

    def _load(self, name: str, kind: str) -> tuple[dict[str, Any], list[bytes]] | None:
        try:
            data = self._path(name, kind).read_bytes()
        except OSError:
            return None
        # The sum at the end tells a whole file from one that a full disk has cut.
        if zlib.crc32(data[:-4]) != int.from_bytes(data[-4:], "big"):
            return None
        return read_frame(io.BytesIO(data[:-4]))

    def _save(self, name: str, kind: str, head: dict[str, Any], parts: list[bytes]) -> None:
        file = io.BytesIO()
        write_frame(file, head, parts)
        data = file.getvalue()
        write_whole(self._path(name, kind), data + zlib.crc32(data).to_bytes(4, "big"))


def _name(*parts: bytes | str) -> str:
    """Give a name for what the kit makes of some parts."""
    plain = [part.encode() if isinstance(part, str) else part for part in (*parts, kit_mark())]
    return hashlib.sha256(b"".join(hashlib.sha256(part).digest() for part in plain)).hexdigest()
