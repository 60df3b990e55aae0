"""Flash: the board's files, as far as a program has changed them."""

from __future__ import annotations

from . import costs
from .unit import Clock, Handlers, Unit

__all__ = ["SIZE", "FlashUnit"]

SIZE = 2 * 1024 * 1024
"""Room for files in bytes (common practice: 2 MB of a 4 MB module's flash)."""
_MAX_NAME = 128
_MAX_FILES = 500


class FlashUnit(Unit):
    """What the flash holds, name to bytes; a folder's name ends with `/`.

    The program's process has the files from the start and reads them there; only what changes
    comes over the link.  Nothing of it ever touches the host's disk by a name of the program's.

    Args:
        board: The board.
        files: The files, changed in place: they outlast a restart.
    """

    def __init__(self, board: Clock, files: dict[str, bytes]) -> None:
        super().__init__(board)
        self.files = files

    def handlers(self) -> Handlers:
        """Give the messages that this unit carries out."""
        return {b"f": self._write, b"v": self._remove, b"r": self._rename, b"k": self._make_folder}

    def _write(self, name: bytes, at: bytes, data: bytes) -> None:
        """Put bytes into a file at a place; what was behind them is gone."""
        path, place = _name(name), int(at)
        new = b"" if data == b"-" else bytes.fromhex(data.decode())
        old = self.files.get(path, b"")
        if not 0 <= place <= len(old) or path.endswith("/"):
            raise ValueError(place)
        if sum(map(len, self.files.values())) + len(new) > SIZE or len(self.files) > _MAX_FILES:
            raise ValueError("the flash is full")
        self.files[path] = old[:place] + new
        self.board.note("file", "written", path, place + len(new))
        self.board.now_ns += costs.FILE + len(new) * costs.FILE_BYTE

    def _remove(self, name: bytes) -> None:
        path = _name(name)
        del self.files[path]
        self.board.note("file", "removed", path, 0)
        self.board.now_ns += costs.FILE

    def _rename(self, old: bytes, new: bytes) -> None:
        first, second = _name(old), _name(new)
        if first.endswith("/") != second.endswith("/"):
            raise ValueError(second)
        self.files[second] = self.files.pop(first)
        self.board.note("file", "renamed", second, len(self.files[second]))
        self.board.now_ns += costs.FILE

    def _make_folder(self, name: bytes) -> None:
        path = _name(name)
        if not path.endswith("/") or len(self.files) > _MAX_FILES:
            raise ValueError(path)
        self.files[path] = b""
        self.board.note("file", "made", path, 0)
        self.board.now_ns += costs.FILE


def _name(word: bytes) -> str:
    """Read the name of a file.

    Raises:
        ValueError: The board can have no file of that name.
    """
    name = bytes.fromhex(word.decode()).decode("utf-8")
    parts = name.removesuffix("/").split("/")
    if len(name) > _MAX_NAME or "\0" in name or {"", ".", ".."} & set(parts):
        raise ValueError(name)
    return name
