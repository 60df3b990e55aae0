# Files on the board's flash.  They live in this process's memory; every change is told to the
# host, which keeps them over a restart.  The host's disk is never touched.

import sys

import _link

if sys.implementation.name == "micropython":  # whose json reads from streams of this kind only
    from io import IOBase as _Stream
else:
    _Stream = object

files = {}  # path without a leading slash to bytes; a folder's path ends with a slash
_open = []
_here = [""]  # the current folder: "" or "logs/"
_ROOM = 2 * 1024 * 1024
_PIECE = 12000


def path_of(name):
    """Give the path of a name as seen from the current folder."""
    if not isinstance(name, str):
        raise TypeError("can't convert '%s' object to str implicitly" % type(name).__name__)
    whole = name if name.startswith("/") else _here[0] + name
    parts = []
    for part in whole.split("/"):
        if part == "..":
            parts = parts[:-1]
        elif part not in ("", "."):
            parts.append(part)
    return "/".join(parts)


def is_folder(path):
    return path == "" or path + "/" in files or any(name.startswith(path + "/") for name in files)


def _hex(data):
    return "".join("%02x" % byte for byte in data)


def word(path):
    return _hex(path.encode())


def wrong(number, name):
    raise _link.os_error(number, name)


def keep(path, data, at):
    """Make the bytes a file's, of which those from a place on are new, and tell the host."""
    old = files.get(path)
    if sum([len(content) for content in files.values()]) - len(old or b"") + len(data) > _ROOM:
        wrong(28, "ENOSPC")
    if len(path) > 128 or "\0" in path:
        wrong(22, "EINVAL")
    files[path] = bytes(data)
    while True:
        piece = data[at : at + _PIECE]
        _link.tell("f %s %d %s" % (word(path), at, _hex(piece) or "-"))
        if len(piece) > 1000:  # not gathered: many long ones would fill the memory
            _link.flush()
        at += _PIECE
        if at >= len(data):
            return


class FileIO(_Stream):
    """A file opened for bytes."""

    text = False

    def __init__(self, path, mode):
        self._path, self._mode = path, mode
        self._reads = "r" in mode or "+" in mode
        self._writes = "r" not in mode or "+" in mode
        if is_folder(path):
            wrong(21, "EISDIR")
        if "r" in mode and path not in files:
            wrong(2, "ENOENT")
        if "x" in mode and path in files:
            wrong(17, "EEXIST")
        if "/" in path and not is_folder(path.rsplit("/", 1)[0]):
            wrong(2, "ENOENT")
        self._data = bytearray(b"" if "w" in mode else files.get(path, b""))
        self._at = 0
        self._new = None  # from where on the host does not know it yet
        self._closed = False
        if "r" not in mode and ("w" in mode or path not in files):
            keep(path, b"", 0)
        _open.append(self)

    def _check(self, allowed):
        if self._closed:
            raise ValueError("I/O operation on closed file")
        if not allowed:
            wrong(9, "EBADF")

    def _out(self, data):
        return bytes(data)

    def _take(self, end):
        start, self._at = self._at, min(max(end, self._at), len(self._data))
        return self._out(self._data[start : self._at])

    def _end_of(self, count):
        return self._at + count

    def read(self, size=-1):
        """Read some bytes or characters, or all that is left."""
        self._check(self._reads)
        return self._take(len(self._data) if size is None or size < 0 else self._end_of(size))

    def readline(self, size=-1):
        """Read up to the end of a line."""
        self._check(self._reads)
        found = self._data.find(b"\n", self._at)
        end = len(self._data) if found < 0 else found + 1
        return self._take(end if size < 0 else min(end, self._end_of(size)))

    def readlines(self):
        """Read all lines that are left, as a list."""
        return list(self)

    def readinto(self, buf):
        """Read as many bytes as fit into a buffer, and give how many."""
        self._check(self._reads)
        got = self._data[self._at : self._at + len(buf)]
        buf[: len(got)] = got
        self._at += len(got)
        return len(got)

    def write(self, data):
        """Write a text or bytes, and give how many characters or bytes."""
        self._check(self._writes)
        new, length = _link.buffer(data), len(self._data)
        if not new:
            return 0
        if "a" in self._mode:
            self._at = length
        if max(self._at, length) + len(new) > _ROOM:
            wrong(28, "ENOSPC")
        place = min(self._at, length)
        if self._at > length:
            self._data.extend(bytes(self._at - length))
        self._new = place if self._new is None else min(self._new, place)
        self._data[self._at : self._at + len(new)] = new
        self._at += len(new)
        return len(data)

    def flush(self):
        """Bring the file on the flash up to date."""
        if self._new is not None:
            # What is behind the new bytes goes along, for a file is told from a place to its end.
            at, self._new = self._new, None
            keep(self._path, self._data, at)

    def seek(self, offset, whence=0):
        """Go to a place: from the start (0), from here (1), from the end (2)."""
        self._check(True)
        start = (0, self._at, len(self._data))[whence]
        if start + offset < 0:
            wrong(22, "EINVAL")
        self._at = start + offset
        return self._at

    def ioctl(self, request, arg):
        """Do nothing: what a stream is asked beyond the rest."""
        return 0

    def tell(self):
        """Give the place in the file."""
        return self._at

    def close(self):
        """Bring the file up to date, and be done with it."""
        if not self._closed:
            self.flush()
            self._closed = True
            _open.remove(self)

    def __iter__(self):
        return self

    def __next__(self):
        line = self.readline()
        if not line:
            raise StopIteration
        return line

    def __enter__(self):
        return self

    def __exit__(self, *fault):
        self.close()


class TextIOWrapper(FileIO):
    """A file opened for text."""

    def _out(self, data):
        return bytes(data).decode()

    def _end_of(self, count):
        end = self._at
        while count > 0 and end < len(self._data):
            end += 1
            while end < len(self._data) and self._data[end] & 0xC0 == 0x80:
                end += 1
            count -= 1
        return end


def open(file, mode="r", *, buffering=-1, encoding=None):
    """Open a file of the board: `with open("log.txt", "a") as log: log.write("ahoy\\n")`."""
    if not isinstance(mode, str) or len([c for c in mode if c in "rwax"]) != 1:
        raise ValueError("invalid mode: '%s'" % (mode,))
    kind = FileIO if "b" in mode else TextIOWrapper
    return kind(path_of(file), mode)


def close_all():
    """Close what a program that has ended left open, as the board does."""
    for file in list(_open):
        file.close()
