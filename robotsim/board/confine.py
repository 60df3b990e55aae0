"""Confine: what a marked program's process is kept from by the system it runs on.

In a learner's own notebook none of this is on: the machine and the program are the learner's.
Who marks the programs of others calls `confine_boards` once in the process that starts them, and
every board that it starts from then on is held to these, if the system offers them:

- limits: memory, time of the processor, size of files, other processes;
- files: nothing but Python's own library and the board's modules can be read, nothing written;
- calls: no process can be started, signalled or looked into, no socket opened;
- network: one of its own, with nobody in it.

The audit hook in the boot file stays, everywhere.  Only the engine `cpython` is confined so.
"""

from __future__ import annotations

import functools
import os
import sys
import sysconfig
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from .engines import compile_boot

__all__ = ["CPU_S", "MEMORY", "Protection", "before_start", "confine_boards"]

MEMORY = 512 * 1024 * 1024
"""Bytes of memory that a marked program's process may have."""
CPU_S = 120
"""Seconds of the processor's time that it may use."""

_HERE = Path(__file__).resolve().parent
_LIBRARIES = ("/lib", "/lib64", "/usr/lib", "/usr/lib64", "/etc/ld.so.cache")


@dataclass(frozen=True)
class Protection:
    """One protection.

    Attributes:
        name: What is protected, in a few words.
        on: Whether it is on.
        by: By what, or why not.
    """

    name: str
    on: bool
    by: str


_start: list[Callable[[], None]] = []


def before_start() -> Callable[[], None] | None:
    """Give what a board's process is to do before it runs its engine; None for nothing."""
    return _start[0] if _start else None


def confine_boards(work: Path, read: Sequence[Path] = ()) -> list[Protection]:
    """Confine this process a little, and every board that it starts from now on tightly.

    There is no way back.  Call it before there are threads.

    Args:
        work: The one folder that this process itself may still write to.
        read: What this process itself may still read, beside Python and its packages.

    Returns:
        What is on now, and what is not, for a report.
    """
    compile_boot()  # later it may write nothing
    found = [Protection("guard", True, "the interpreter refuses files, processes and sockets")]
    steps: list[Callable[[], object]] = []
    if os.name == "posix":
        steps.append(_limit)
        found.append(Protection("limits", True, f"{MEMORY >> 20} MB, {CPU_S} s, no files"))
    else:
        found.append(Protection("limits", False, "this system is not asked for them yet"))
    if sys.platform == "linux":
        found += _on_linux(steps, work, read)
    else:
        names = ("files", "calls", "network")
        found += [Protection(name, False, "offered on Linux only") for name in names]
    _start[:] = [functools.partial(_all, tuple(steps))] if steps else []
    return found


def _all(steps: Sequence[Callable[[], object]]) -> None:
    for step in steps:
        step()


def _limit() -> None:
    """Set the limits of a board's process."""
    import resource

    limits = {
        "RLIMIT_CPU": CPU_S, "RLIMIT_FSIZE": 0, "RLIMIT_CORE": 0, "RLIMIT_NPROC": 0,
        "RLIMIT_NOFILE": 64, "RLIMIT_AS": MEMORY,
    }  # fmt: skip
    for name, most in limits.items():
        kind = getattr(resource, name, None)
        if kind is not None:
            try:
                resource.setrlimit(kind, (most, most))
            except (ValueError, OSError):  # this system has it and does not heed it
                continue


def _on_linux(
    steps: list[Callable[[], object]], work: Path, read: Sequence[Path]
) -> list[Protection]:
    from . import confine_linux as linux

    single = linux.alone()
    lonely = single and linux.no_network()
    how = "a network of its own" if lonely else "this system refuses one"
    found = [Protection("network", lonely, how)]
    linux.no_new_privileges()
    python = os.path.realpath(sys.executable)
    own = {sys.prefix, sys.base_prefix, sys.exec_prefix, sys.base_exec_prefix}
    folders = [*own, *_LIBRARIES, "/etc", "/dev/urandom", "/usr/share/zoneinfo", *map(str, read)]
    # Some tasks ask a compiler that is installed as a package; it is held to the same rules.
    runs = [python, sys.prefix, *_LIBRARIES, *_loaders()]
    mine = linux.Ruleset(read=folders, write=[str(work)], execute=runs)
    files = mine.apply()
    board = linux.Ruleset(
        read=[*_stdlib(), *_LIBRARIES, str(_HERE / "shims"), str(_HERE / "engines"), *_config()],
        execute=[python, *_loaders()],
        # The interpreter looks there for its modules by listing it.
        names=[sysconfig.get_path("stdlib")],
    )
    calls = linux.Filter()
    steps += [linux.die_with_parent, linux.no_new_privileges, board.apply, calls.apply]
    version = linux.landlock_version()
    how = f"Landlock {version}" if files else "this kernel has no Landlock"
    found.append(Protection("files", files, how))
    how = "a filter of system calls" if calls.known else "no filter for this kind of machine"
    found.append(Protection("calls", calls.known, how))
    return found


def _loaders() -> list[str]:
    """Give the programs that the system itself runs to start another."""
    return [str(p) for folder in ("/lib", "/lib64") for p in Path(folder).glob("ld-*.so*")]


def _stdlib() -> list[str]:
    """Give Python's own library without the packages that may lie inside it, the kit's own too."""
    folder = Path(sysconfig.get_path("stdlib"))
    inside = [p for p in folder.iterdir() if p.name not in ("site-packages", "dist-packages")]
    shared = Path(sys.base_prefix, "lib").glob("lib*.so*")
    zipped = Path(sys.base_prefix, "lib", f"python{sys.version_info[0]}{sys.version_info[1]}.zip")
    return [*map(str, inside), *map(str, shared), str(zipped)]


def _config() -> list[str]:
    """Give what the interpreter looks at when it starts."""
    return [str(Path(sys.prefix, "pyvenv.cfg"))]
