"""Confine, on Linux: the few calls of the system that an interpreter needs, and no others.

What is not named here is refused, so that a call which a later kernel adds is refused as well.

*Source*: the kernel's documentation, userspace-api/seccomp_filter; numbers of calls from its
headers asm/unistd_64.h (x86_64) and asm-generic/unistd.h (aarch64).  Which ones an interpreter
needs was traced from whole trials, and widened by those of other C libraries and kernels.
"""

from __future__ import annotations

import ctypes
import platform
import struct
from collections.abc import Iterator

__all__ = ["CALLS", "Filter"]

CALLS: dict[str, tuple[int | None, int | None]] = {
    "read": (0, 63), "write": (1, 64), "newfstatat": (262, 79), "lseek": (8, 62),
    "futex": (202, 98), "mmap": (9, 222), "munmap": (11, 215), "close": (3, 57),
    "openat": (257, 56), "brk": (12, 214), "fstat": (5, 80), "open": (2, None), "stat": (4, None),
    "lstat": (6, None), "statx": (332, 291), "mprotect": (10, 226), "mremap": (25, 216),
    "madvise": (28, 233), "getdents64": (217, 61), "readv": (19, 65), "writev": (20, 66),
    "pread64": (17, 67), "pwrite64": (18, 68), "access": (21, None), "faccessat": (269, 48),
    "faccessat2": (439, 439), "readlink": (89, None), "readlinkat": (267, 78), "getcwd": (79, 17),
    "dup": (32, 23), "dup2": (33, None), "dup3": (292, 24), "poll": (7, None), "ppoll": (271, 73),
    "select": (23, None), "pselect6": (270, 72), "rt_sigaction": (13, 134),
    "rt_sigprocmask": (14, 135), "rt_sigreturn": (15, 139), "sigaltstack": (131, 132),
    "restart_syscall": (219, 128), "nanosleep": (35, 101), "clock_nanosleep": (230, 115),
    "clock_getres": (229, 114), "gettimeofday": (96, 169), "time": (201, None),
    "getpid": (39, 172), "gettid": (186, 178), "getuid": (102, 174), "geteuid": (107, 175),
    "getgid": (104, 176), "getegid": (108, 177), "uname": (63, 160), "sysinfo": (99, 179),
    "getrandom": (318, 278), "getrlimit": (97, 163), "sched_yield": (24, 124),
    "set_tid_address": (218, 96), "set_robust_list": (273, 99), "rseq": (334, 293),
    "arch_prctl": (158, None), "execve": (59, 221), "exit": (60, 93), "exit_group": (231, 94),
}  # fmt: skip
"""What is allowed: name to its number on x86_64 and on aarch64, None where there is none.

`execve` is how the interpreter itself is started; which files may be run, Landlock decides."""

_FD = (0, 1, 2, 3, 4, 1030)  # a descriptor's copies and flags; none that signals others
_TTY = (0x5401, 0x5450, 0x5451, 0x5421, 0x541B)  # is it a terminal; close on exec; bytes waiting
_ASKED: dict[str, tuple[tuple[int, int], tuple[tuple[int, tuple[int, ...]], ...]]] = {
    "fcntl": ((72, 25), ((1, _FD),)),
    "ioctl": ((16, 29), ((1, _TTY),)),
    # Its own limits may be read.  To set them, or to look at another process, is refused: who is
    # root could raise them again.
    "prlimit64": ((302, 261), ((0, (0,)), (2, (0,)))),
    "sched_getaffinity": ((204, 123), ((0, (0,)),)),
    # Clocks by a number below zero belong to other processes.
    "clock_gettime": ((228, 113), ((0, tuple(range(12))),)),
}
"""What is allowed if its arguments are: name to its numbers, and to (argument, values) of each."""

_MACHINES = {"x86_64": (0xC000003E, 0), "aarch64": (0xC00000B7, 1)}
"""Machine to its audit number and its place in the rows above."""
_ALLOW, _REFUSE, _UNKNOWN, _KILL = 0x7FFF0000, 0x00050001, 0x00050026, 0x80000000
_LOAD, _EQUAL, _ABOVE, _GIVE = 0x20, 0x15, 0x35, 0x06


class Filter:
    """Holds a process to `CALLS`.

    Attributes:
        code: Its rows in the kernel's language, 8 bytes each.
    """

    def __init__(self) -> None:
        self._program: ctypes.Array[ctypes.c_char] | None = None
        self.code = b""
        if platform.machine() in _MACHINES:
            self.code = b"".join(_rows(*_MACHINES[platform.machine()]))
            self._code = ctypes.create_string_buffer(self.code)
            head = struct.pack("HxxxxxxP", len(self.code) // 8, ctypes.addressof(self._code))
            self._program = ctypes.create_string_buffer(head)

    @property
    def known(self) -> bool:
        """Whether there is a filter for this machine."""
        return self._program is not None

    def apply(self) -> None:
        """Hold this process, and all that it starts, to the filter; for good.

        Raises:
            OSError: This system does not offer it.
        """
        # Found at every call, so that nothing of ctypes is set up in a process that was forked.
        if _libc.prctl(22, 2, self._program, 0, 0):
            raise OSError(ctypes.get_errno(), "no filter of system calls")


_libc = ctypes.CDLL(None, use_errno=True)


def _rows(machine: int, place: int) -> Iterator[bytes]:
    """Write the filter in the kernel's small language (classic BPF)."""
    yield from (_row(_LOAD, 4), _row(_EQUAL, machine, 1, 0), _row(_GIVE, _KILL), _row(_LOAD, 0))
    # The same calls under other numbers (x32): none of them.
    yield from (_row(_ABOVE, 0x40000000, 0, 1), _row(_GIVE, _REFUSE))
    for numbers in CALLS.values():
        number = numbers[place]
        if number is not None:
            yield from (_row(_EQUAL, number, 0, 1), _row(_GIVE, _ALLOW))
    for pair, arguments in _ASKED.values():
        yield from _asked(pair[place], arguments)
    # Said to be unknown, as by an older kernel: what a C library tries first, it does without.
    yield _row(_GIVE, _UNKNOWN)


def _asked(number: int, arguments: tuple[tuple[int, tuple[int, ...]], ...]) -> Iterator[bytes]:
    """Allow a call if each of these arguments has one of its values, and refuse it otherwise."""
    body: list[bytes] = []
    for which, values in arguments:
        # Both halves of a pointer count; of the others the system itself looks at the lower only.
        halves = (16 + 8 * which, 20 + 8 * which) if values == (0,) else (16 + 8 * which,)
        for half in halves:
            body.append(_row(_LOAD, half))
            for left, value in zip(range(len(values), 0, -1), values, strict=True):
                body.append(_row(_EQUAL, value, left, 0))
            body.append(_row(_GIVE, _REFUSE))
    body += [_row(_GIVE, _ALLOW)]
    yield _row(_EQUAL, number, 0, len(body))
    yield from body


def _row(code: int, value: int, yes: int = 0, no: int = 0) -> bytes:
    return struct.pack("HBBI", code, yes, no, value)
