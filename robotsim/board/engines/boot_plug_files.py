# The flash of the plugged tug: one folder of this computer, of which nothing outside is seen.
#
# It is a file system as MicroPython's reference describes one that is written in Python, and may
# be mounted; reading and writing is left to the interpreter's own for this computer.

import io

_ROOM = 2 * 1024 * 1024  # as in ../flash.py
_BLOCK = 4096
_FOLDER = 0x4000
_LONGEST = 128


class Flash:
    """What programs find at `/`.

    Args:
        disk: The interpreter's file system, whose root is the folder.
    """

    def __init__(self, disk):
        self._disk, self._here = disk, "/"

    def mount(self, readonly, mkfs):
        """Be mounted; there is nothing to prepare."""

    def umount(self):
        """Be put away."""

    def _path(self, name):
        parts = []
        for part in (name if name.startswith("/") else self._here + "/" + name).split("/"):
            if part == "..":
                parts = parts[:-1]
            elif part not in ("", "."):
                parts.append(part)
        path = "/" + "/".join(parts)
        if len(path) > _LONGEST or "\0" in path:
            raise OSError(22)
        return path

    def chdir(self, path):
        path = self._path(path)
        if not self.stat(path)[0] & _FOLDER:
            raise OSError(20)
        self._here = path

    def getcwd(self):
        return self._here

    def stat(self, path):
        return self._disk.stat(self._path(path))

    def ilistdir(self, path):
        path = self._path(path)
        return iter([self._entry(path, entry) for entry in self._disk.ilistdir(path)])

    def _entry(self, path, entry):
        kind = self._disk.stat((path if path != "/" else "") + "/" + entry[0])
        return (entry[0], _FOLDER if kind[0] & _FOLDER else 0x8000, 0, kind[6])

    def used(self, path="/"):
        """Give the room that is taken below a folder, in whole blocks of bytes."""
        total = 0
        for name, kind, _, size in self.ilistdir(path):
            if kind == _FOLDER:
                total += _BLOCK + self.used((path if path != "/" else "") + "/" + name)
            else:
                total += (size + _BLOCK - 1) // _BLOCK * _BLOCK
        return total

    def statvfs(self, path):
        left = max(_ROOM - self.used(), 0) // _BLOCK
        return (_BLOCK, _BLOCK, _ROOM // _BLOCK, left, left, 0, 0, 0, 0, _LONGEST)

    def open(self, path, mode):
        path = self._path(path)
        if "r" in mode and "+" not in mode:
            return self._disk.open(path, mode)
        return _Written(self._disk.open(path, mode), _ROOM - self.used())

    def mkdir(self, path):
        self._disk.mkdir(self._path(path))

    def rmdir(self, path):
        self._disk.rmdir(self._path(path))

    def remove(self, path):
        self._disk.remove(self._path(path))

    def rename(self, old, new):
        # The interpreter's own keeps one name at a time; the other goes from where it was started.
        self._disk.rename(self._path(old)[1:], self._path(new))


class _Written(io.IOBase):
    # A file that is written to: no more goes in than the flash has room for.
    def __init__(self, file, room):
        self._file, self._room = file, room

    def write(self, data):
        self._room -= len(data)
        if self._room < 0:
            raise OSError(28)  # which this firmware has no name for, as a board
        return self._file.write(data)

    def __getattr__(self, name):
        return getattr(self._file, name)

    def read(self, *size):
        return self._file.read(*size)

    def readinto(self, data):
        return self._file.readinto(data)

    def readline(self, *size):
        return self._file.readline(*size)

    def ioctl(self, request, argument):
        if request == 4:  # be closed
            self._file.close()
        return 0

    def close(self):
        self._file.close()

    def __enter__(self):
        return self

    def __exit__(self, *fault):
        self._file.close()

    def __iter__(self):
        return self

    def __next__(self):
        line = self._file.readline()
        if not line:
            raise StopIteration
        return line
