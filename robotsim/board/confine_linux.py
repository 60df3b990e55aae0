"""Confine, on Linux: the kernel's own means, called through ctypes.

*Source*: the kernel's documentation, userspace-api/landlock and userspace-api/seccomp_filter;
numbers of calls from the headers asm/unistd_64.h (x86_64) and asm-generic/unistd.h (aarch64).
Whatever a kernel does not offer is left out and not an error; the caller is told.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import platform
import struct
from collections.abc import Sequence

__all__ = ["Filter", "Ruleset", "alone", "die_with_parent", "no_network", "no_new_privileges"]

_libc = ctypes.CDLL(None, use_errno=True)
_CREATE_RULESET, _ADD_RULE, _RESTRICT_SELF = 444, 445, 446
_PR_SET_PDEATHSIG, _PR_SET_SECCOMP, _PR_SET_NO_NEW_PRIVS = 1, 22, 38
_EXECUTE, _READ_FILE, _READ_DIR = 1 << 0, 1 << 2, 1 << 3
_WRITE_FILE, _TRUNCATE = 1 << 1, 1 << 14
_READ = _READ_FILE | _READ_DIR
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

    def apply(self) -> bool:
        """Hold this process, and all that it starts, to the rules; for good."""
        return self.fd >= 0 and _libc.syscall(_RESTRICT_SELF, self.fd, 0) == 0


def no_new_privileges() -> None:
    """Give up for good what a program with another owner would bring."""
    _libc.prctl(_PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0)


def die_with_parent() -> None:
    """End this process when the thread that started it ends."""
    _libc.prctl(_PR_SET_PDEATHSIG, 9, 0, 0, 0)


def no_network() -> bool:
    """Move this process to a network of its own, in which there is nobody."""
    user, group = os.getuid(), os.getgid()
    if _libc.unshare(0x40000000) == 0:
        return True
    # Who is not root needs a namespace of users for it; some systems forbid that.
    if _libc.unshare(0x40000000 | 0x10000000):
        return False
    with contextlib.suppress(OSError):
        maps = {"setgroups": "deny", "uid_map": f"{user} {user} 1"}
        maps["gid_map"] = f"{group} {group} 1"
        for name, words in maps.items():
            with open(f"/proc/self/{name}", "w", encoding="ascii") as file:
                file.write(words)
    return True


def alone() -> bool:
    """Tell whether this process has one thread only."""
    with contextlib.suppress(OSError):
        return len(os.listdir("/proc/self/task")) == 1
    return False


# What a program on the board has no use for: starting others, signals and memory of others,
# sockets, shared memory, owners and rights of files, other priorities.
_X86_64 = (
    57, 58, 56, 322, 62, 200, 234, 129, 297, 434, 424, 438, 101, 310, 311, 41, 53, 425, 321, 165,
    272, 308, 323, 298, 250, 248, 249, 319, 90, 91, 268, 452, 92, 93, 94, 260, 280, 132, 235, 261,
    188, 189, 190, 141, 203, 144, 314, 251, 29, 68, 64, 240,
)  # fmt: skip
_AARCH64 = (
    220, 281, 129, 130, 131, 138, 240, 434, 424, 438, 117, 270, 271, 198, 199, 425, 280, 40, 97,
    268, 282, 241, 219, 217, 218, 279, 52, 53, 452, 55, 54, 88, 5, 6, 7, 140, 122, 119, 274, 30,
    194, 186, 190, 180,
)  # fmt: skip
_MACHINES = {"x86_64": (0xC000003E, 302, _X86_64), "aarch64": (0xC00000B7, 261, _AARCH64)}
"""Machine to its audit number, the number of prlimit64, and the calls that are refused."""
_CLONE3 = 435
_ALLOW, _REFUSE, _UNKNOWN, _KILL = 0x7FFF0000, 0x00050001, 0x00050026, 0x80000000


class Filter:
    """Refuses calls of the system that no board has; of the others it takes no notice."""

    def __init__(self) -> None:
        self._program: ctypes.Array[ctypes.c_char] | None = None
        if platform.machine() in _MACHINES:
            rows = _rows(*_MACHINES[platform.machine()])
            self._code = ctypes.create_string_buffer(b"".join(rows))
            head = struct.pack("HxxxxxxP", len(rows), ctypes.addressof(self._code))
            self._program = ctypes.create_string_buffer(head)

    @property
    def known(self) -> bool:
        """Whether there is a filter for this machine."""
        return self._program is not None

    def apply(self) -> bool:
        """Hold this process, and all that it starts, to the filter; for good."""
        return bool(self._program) and not _libc.prctl(_PR_SET_SECCOMP, 2, self._program, 0, 0)


def _rows(machine: int, prlimit: int, refused: Sequence[int]) -> list[bytes]:
    """Write the filter in the kernel's small language (classic BPF)."""
    load, equal, above, give = 0x20, 0x15, 0x35, 0x06

    def row(code: int, value: int, yes: int = 0, no: int = 0) -> bytes:
        return struct.pack("HBBI", code, yes, no, value)

    rows = [row(load, 4), row(equal, machine, 1, 0), row(give, _KILL), row(load, 0)]
    # The same calls under other numbers (x32): none of them.
    rows += [row(above, 0x40000000, 0, 1), row(give, _REFUSE)]
    rows += [row(equal, _CLONE3, 0, 1), row(give, _UNKNOWN)]
    for number in refused:
        rows += [row(equal, number, 0, 1), row(give, _REFUSE)]
    # Limits of its own may be set, those of other processes not.
    rows += [row(equal, prlimit, 0, 3), row(load, 16), row(equal, 0, 1, 0), row(give, _REFUSE)]
    return [*rows, row(give, _ALLOW)]
