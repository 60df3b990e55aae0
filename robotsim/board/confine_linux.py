"""Confine, on Linux: the kernel's own means, called through ctypes.

*Source*: the kernel's documentation, userspace-api/landlock; the manual pages namespaces(7),
capabilities(7), mount(2).  What a kernel does not offer is told to the caller, who decides; what
it has offered and then refuses is an error, so that nothing runs with less than was promised.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import struct
import threading
import time
from collections.abc import Sequence
from pathlib import Path

__all__ = [
    "Ruleset", "SmallRoot", "alone", "die_with_parent", "landlock_version", "no_capabilities",
    "no_network", "no_new_privileges", "own_mounts",
]  # fmt: skip

_libc = ctypes.CDLL(None, use_errno=True)
_CREATE_RULESET, _ADD_RULE, _RESTRICT_SELF = 444, 445, 446
_PR_SET_PDEATHSIG, _PR_CAPBSET_DROP, _PR_SET_NO_NEW_PRIVS = 1, 24, 38
_NEW_MOUNTS, _NEW_USER, _NEW_NETWORK = 0x20000, 0x10000000, 0x40000000
_BIND, _RECURSIVE, _PRIVATE = 4096, 16384, 1 << 18
_EXECUTE, _READ_FILE, _READ_DIR = 1 << 0, 1 << 2, 1 << 3
_WRITE_FILE, _TRUNCATE = 1 << 1, 1 << 14
_READ = _READ_FILE | _READ_DIR
_ENDS_MS = 500
"""For so long in ms a thread that Python has seen end may still be there for the system."""
_RIGHTS = {1: 13, 2: 14, 3: 15, 4: 15, 5: 16}
"""Version of Landlock to how many rights about files it knows; later ones know as many."""


def landlock_version() -> int:
    """Give the version of Landlock in this kernel, 0 where there is none."""
    found: int = _libc.syscall(_CREATE_RULESET, None, 0, 1)
    return max(found, 0)


class Ruleset:
    """What files may be touched: everything that is not named is out of reach.

    Args:
        read: Files and folders, with all below them, that may be read.
        write: Folders in which anything may be done.
        execute: Files that may be run, and folders that hold them.
        names: Folders whose files' names may be known, and no more.
    """

    def __init__(
        self, read: Sequence[str], write: Sequence[str] = (), execute: Sequence[str] = (),
        names: Sequence[str] = (),
    ) -> None:  # fmt: skip
        version = landlock_version()
        self.fd = -1
        if not version:
            return
        everything = (1 << _RIGHTS.get(version, 16)) - 1
        # From version 4 on TCP too, from version 6 on signals and abstract sockets of others.
        fields = [everything, 0b11 if version >= 4 else 0, 0b11 if version >= 6 else 0]
        size = 24 if version >= 6 else 16 if version >= 4 else 8
        attr = struct.pack("QQQ", *fields)
        self.fd = _libc.syscall(_CREATE_RULESET, ctypes.c_char_p(attr), size, 0)
        if self.fd < 0:
            return
        self._allow(read, _READ)
        self._allow(names, _READ_DIR)
        self._allow(write, everything & ~_EXECUTE)
        self._allow(execute, _READ | _EXECUTE)
        self._allow(["/dev/null"], (_READ_FILE | _WRITE_FILE | _TRUNCATE) & everything)

    def _allow(self, paths: Sequence[str], rights: int) -> None:
        for path in paths:
            # A path that is not there needs no rule.
            with contextlib.suppress(OSError):
                place = os.open(path, os.O_PATH | os.O_CLOEXEC)
                if not os.path.isdir(path):
                    allowed = rights & (_EXECUTE | _WRITE_FILE | _READ_FILE | _TRUNCATE)
                else:
                    allowed = rights
                rule = struct.pack("=Qi", allowed, place)
                _libc.syscall(_ADD_RULE, self.fd, 1, ctypes.c_char_p(rule), 0)
                os.close(place)

    def apply(self) -> None:
        """Hold this process, and all that it starts, to the rules; for good.

        Raises:
            OSError: This system does not offer it.
        """
        if self.fd < 0 or _libc.syscall(_RESTRICT_SELF, self.fd, 0):
            raise OSError(ctypes.get_errno(), "no Landlock")


class SmallRoot:
    """A tree of folders in which nothing is but what a board's process needs to see.

    Whoever is moved into it cannot even ask whether another file is there, or how large it is.

    Args:
        place: An empty folder.
        seen: Files and folders to be seen in it, at their own paths.

    Raises:
        OSError: This system does not offer it.
    """

    def __init__(self, place: Path, seen: Sequence[str]) -> None:
        self.place = str(place)
        _mount("tmpfs", self.place, "tmpfs")
        for path in sorted({os.path.abspath(path) for path in seen if os.path.lexists(path)}):
            self._show(Path(path))

    def _show(self, path: Path) -> None:
        inside = Path(self.place + str(path))
        if os.path.lexists(inside):  # it came with a folder above it
            return
        for above in reversed(path.parents):
            if above.is_symlink():  # as in a merged /usr: shown as the link that it is
                self._show(above.parent)
                self._link(above)
                self._show(path.resolve())
                return
            Path(self.place + str(above)).mkdir(exist_ok=True)
        if path.is_symlink():
            self._link(path)
            self._show(path.parent.resolve() / os.readlink(path))
        elif path.exists():
            inside.mkdir() if path.is_dir() else inside.touch()
            _mount(str(path), str(inside), None, _BIND | _RECURSIVE)

    def _link(self, path: Path) -> None:
        inside = Path(self.place + str(path))
        if not os.path.lexists(inside):
            inside.symlink_to(os.readlink(path))

    def enter(self) -> None:
        """Move this process into it; for good, once it has given up its capabilities."""
        os.chroot(self.place)
        os.chdir("/")


def _mount(source: str, target: str, kind: str | None, flags: int = 0) -> None:
    encoded = [None if text is None else os.fsencode(text) for text in (source, target, kind)]
    if _libc.mount(*encoded, ctypes.c_ulong(flags), None):
        fault = ctypes.get_errno()
        raise OSError(fault, os.strerror(fault), target)


def own_mounts() -> bool:
    """Give this process mounts of its own, which nobody else sees."""
    if not _unshare(_NEW_MOUNTS):
        return False
    try:
        _mount("none", "/", None, _PRIVATE | _RECURSIVE)
    except OSError:
        return False
    return True


def no_capabilities() -> None:
    """Give up whatever else than its owner's rights a process may have, also after a start.

    A process of root has many: to set the clock, to raise its limits, to read what is not its own.
    """
    for number in range(64):
        if _libc.prctl(_PR_CAPBSET_DROP, number, 0, 0, 0):
            break  # no more of them in this kernel, or none to give up
    header = struct.pack("Ii", 0x20080522, 0)
    if _libc.capset(ctypes.c_char_p(header), ctypes.c_char_p(bytes(24))):
        raise OSError(ctypes.get_errno(), "capabilities cannot be given up")


def no_new_privileges() -> None:
    """Give up for good what a program with another owner would bring."""
    _libc.prctl(_PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0)


def die_with_parent() -> None:
    """End this process when the thread that started it ends."""
    _libc.prctl(_PR_SET_PDEATHSIG, 9, 0, 0, 0)


def no_network() -> bool:
    """Move this process to a network of its own, in which there is nobody."""
    return _unshare(_NEW_NETWORK)


def _unshare(what: int) -> bool:
    """Give this process something of its own."""
    user, group = os.getuid(), os.getgid()
    if _libc.unshare(what) == 0:
        return True
    # Who is not root needs a namespace of users for it; some systems forbid that.
    if _libc.unshare(what | _NEW_USER):
        return False
    with contextlib.suppress(OSError):
        maps = {"setgroups": "deny", "uid_map": f"{user} {user} 1"}
        maps["gid_map"] = f"{group} {group} 1"
        for name, words in maps.items():
            with open(f"/proc/self/{name}", "w", encoding="ascii") as file:
                file.write(words)
    return True


def alone() -> bool:
    """Tell whether this process has one thread only.

    One that has been waited for may end for the system a little later than for Python.
    """
    for _ in range(_ENDS_MS):
        with contextlib.suppress(OSError):
            if len(os.listdir("/proc/self/task")) == 1:
                return True
        if threading.active_count() > 1:
            return False
        time.sleep(0.001)
    return False
