# The board's os module, as programs find it under the name os: its flash, and its name.

from collections import namedtuple as _namedtuple

import _link
import board_flash as _flash

sep = "/"
_files = _flash.files
_wrong = _flash.wrong
_RELEASE = "1.29.0"
_uname = _namedtuple("uname", ("sysname", "nodename", "release", "version", "machine"))


def uname():
    """Give the names of the system, as five texts."""
    version = "v%s (simulated)" % _RELEASE
    return _uname("esp32", "esp32", _RELEASE, version, "Simulated harbour board with ESP32")


def urandom(n):
    """Give some random bytes, from the trial's seed."""
    import random

    return bytes([random.getrandbits(8) for _ in range(n)])


def getcwd():
    """Give the current folder."""
    return "/" + _flash._here[0][:-1]


def chdir(path):
    """Go to a folder."""
    path = _flash.path_of(path)
    if not _flash.is_folder(path):
        _wrong(2, "ENOENT")
    _flash._here[0] = path + "/" if path else ""


def ilistdir(dir=""):
    """Go through a folder's entries: (name, 0x4000 for a folder and 0x8000 for a file, 0, size)."""
    path = _flash.path_of(dir)
    if not _flash.is_folder(path):
        _wrong(2, "ENOENT")
    start = path + "/" if path else ""
    seen = {}
    for name, data in _files.items():
        if name.startswith(start) and name != start:
            head, slash, _ = name[len(start) :].partition("/")
            seen[head] = (head, 0x4000, 0, 0) if slash else (head, 0x8000, 0, len(data))
    return iter([seen[head] for head in sorted(seen)])


def listdir(dir=""):
    """Give the names in a folder."""
    return [entry[0] for entry in ilistdir(dir)]


def stat(path):
    """Give ten numbers on a file; the first tells folder or file, the seventh is the size."""
    path = _flash.path_of(path)
    if _flash.is_folder(path):
        return (0x4000, 0, 0, 0, 0, 0, 0, 0, 0, 0)
    if path not in _files:
        _wrong(2, "ENOENT")
    return (0x8000, 0, 0, 0, 0, 0, len(_files[path]), 0, 0, 0)


def statvfs(path):
    """Give ten numbers on the flash: block size twice, blocks, free blocks twice, ..."""
    used = sum([-(-len(data) // 4096) or 1 for data in _files.values()])
    return (4096, 4096, 512, 512 - used, 512 - used, 0, 0, 0, 0, 255)


def remove(path):
    """Remove a file."""
    path = _flash.path_of(path)
    if _flash.is_folder(path):
        _wrong(21, "EISDIR")
    if path not in _files:
        _wrong(2, "ENOENT")
    del _files[path]
    _link.tell("v " + _flash.word(path))


unlink = remove


def mkdir(path):
    """Make a folder."""
    path = _flash.path_of(path)
    if path in _files or _flash.is_folder(path):
        _wrong(17, "EEXIST")
    _files[path + "/"] = b""
    _link.tell("k " + _flash.word(path + "/"))


def rmdir(path):
    """Remove an empty folder."""
    path = _flash.path_of(path)
    if not _flash.is_folder(path):
        _wrong(2, "ENOENT")
    if listdir("/" + path):
        _wrong(39, "ENOTEMPTY")
    del _files[path + "/"]
    _link.tell("v " + _flash.word(path + "/"))


def rename(old_path, new_path):
    """Give a file or folder another name."""
    old, new = _flash.path_of(old_path), _flash.path_of(new_path)
    if old not in _files and not _flash.is_folder(old) or not old:
        _wrong(2, "ENOENT")
    for name in list(_files):
        if name == old or name.startswith(old + "/"):
            _files[new + name[len(old) :]] = _files.pop(name)
            words = (_flash.word(name), _flash.word(new + name[len(old) :]))
            _link.tell("r %s %s" % words)
