"""Confine: what the process of somebody else's program is kept from by the system it runs on.

`confined_start` is the one door: whatever starts an interpreter for a program that is a stranger's
(see `robotsim.origin`) starts it as this says, or not at all.  Each layer is the system's own, so
that no trick inside the interpreter gets round it:

- limits: memory, time of the processor, size of files; they cannot be raised again, not by root;
- files: nothing but Python's own library and the board's modules can be read, nothing written;
- calls: of the system's calls only those that an interpreter needs; none that starts, signals or
  looks at a process, opens a socket or sets a clock.  It is this that keeps root from starting
  processes, whom no limit of their number binds;
- sight: whether another file is there, and how large it is, cannot even be asked;
- network: one of its own, with nobody in it.

A program that was let in is tried out first: what is said to be on was seen to hold.  The first
three must be there; the others are a second wall behind them.  The interpreter's own guard, an
audit hook in the boot file, is a help against accidents and no protection.
"""

from __future__ import annotations

import functools
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..errors import KitError
from .confine_files import board_rules, host_rules, small_root
from .confine_probe import ESCAPES, probe
from .engines import compile_boot

if TYPE_CHECKING:
    from .confine_calls import Filter

__all__ = [
    "CPU_S", "LAYERS", "MEMORY", "NEEDED", "Protection", "confine_process", "confined_start",
    "kept_to", "let_programs_reach_this_computer", "missing", "nursery_walls", "protections",
    "refusal",
]  # fmt: skip

MEMORY = 512 * 1024 * 1024
"""Bytes of memory that a confined program's process may have."""
CPU_S = 120
"""Seconds of the processor's time that it may use."""
LAYERS = ("limits", "files", "calls", "sight", "network")
NEEDED = ("limits", "files", "calls")
"""The layers without which a stranger's program is not run."""

_HERE = Path(__file__).resolve().parent
_Step = Callable[[], object]


@dataclass(frozen=True)
class Protection:
    """One layer of protection.

    Attributes:
        name: Which.
        on: Whether it was seen to hold.
        by: By what, or why not.
    """

    name: str
    on: bool
    by: str


class _State:
    """What this process has settled for the programs that it starts."""

    without: frozenset[str] = frozenset()
    root: _Step | None = None
    lonely = False
    permitted = False
    everything = False


def let_programs_reach_this_computer() -> None:
    """Have strangers' programs run from now on with whatever protection there is, even none."""
    _State.permitted = True


def confined_start(whose_is_a_stranger: bool, engine: str, folder: str = "") -> _Step | None:
    """Give what a board's process has to do before it becomes its engine; None for nothing.

    Args:
        whose_is_a_stranger: Whether the program is somebody else's.
        engine: What interprets it.
        folder: A folder that it needs to read, "" for none.

    Raises:
        KitError: It would have to be confined, and this system cannot.
    """
    if not whose_is_a_stranger and not _State.everything:
        return None
    if not _State.permitted and (fault := refusal()):
        raise fault
    names, _ = _established()
    return functools.partial(_all, _steps(names, engine, folder))


def nursery_walls() -> tuple[_Step, dict[str, Any]] | None:
    """Give the steps of a program's process for one of which such processes are forked.

    Returns:
        What it does before it becomes Python; and what each process does for itself, with a file
        that it must find out of reach (`engines/boot_nursery.py`).  None where a layer that is
        needed is missing.
    """
    if not _has_landlock():  # then it need not be tried
        return None
    names, _ = _established()
    if not names.issuperset(NEEDED):
        return None
    order = {
        "limits": _limits(), "rules": board_rules("cpython", "").fd,
        "filter": _filter().code.hex(), "secret": str(_HERE / "confine.py"),
    }  # fmt: skip
    return functools.partial(_all, _walls(names, "cpython", "")), order


def refusal() -> KitError | None:
    """Give why a stranger's program cannot be run here, None if it can."""
    lacking = missing()
    if not lacking:
        return None
    told = "; ".join(f"{one.name} ({one.by})" for one in lacking)
    return KitError(
        "A program that somebody else wrote cannot be kept in on this computer: it could read "
        f"your files or harm other programs. What is missing: {told}.",
        hint="run it on Linux, in WSL 2, in a Linux container or on the class server; if you "
        "trust its writer as yourself, `--programs-may-reach-this-computer` (in Python: "
        "whose=Whose.OWN) runs it all the same.",
    )


def missing() -> list[Protection]:
    """Give the layers that have to be there and are not."""
    return [one for one in protections() if one.name in NEEDED and not one.on]


def protections() -> list[Protection]:
    """Give every layer, as a program that was let in to try them found them."""
    return _established()[1]


def confine_process(work: Path, read: Sequence[Path] = (), without: Iterable[str] = ()) -> None:
    """Confine this process a little, and every board that it starts from now on tightly.

    There is no way back.  Call it before there are threads.

    Args:
        work: The one folder that this process itself may still write to.
        read: What this process itself may still read, beside Python and its packages.
        without: Layers to leave out, so that it can be seen what the others hold.
    """
    compile_boot()  # later it may write nothing
    _State.without, _State.everything = frozenset(without), True
    if sys.platform == "linux":
        from . import confine_linux as linux

        if linux.alone():
            _State.lonely = "network" not in _State.without and linux.no_network()
            if "sight" not in _State.without and linux.own_mounts():
                _State.root = small_root(work)
        linux.no_new_privileges()
        if "files" not in _State.without and linux.landlock_version():
            host_rules(work, read).apply()
    _established.cache_clear()


@functools.cache
def _established() -> tuple[frozenset[str], list[Protection]]:
    """Find the layers that this system lets us put on, and what they hold."""
    if os.name != "posix":  # nothing is offered that we know of, so nothing has to be tried
        none: frozenset[str] = frozenset()
        return none, [_told(name, none, frozenset(ESCAPES)) for name in LAYERS]
    wanted = frozenset(LAYERS if sys.platform == "linux" else ("limits",)) - _State.without
    # What a system refuses is left out and told: first one alone, then more.
    for less in (set(), {"sight"}, {"calls"}, {"files"}, {"calls", "files"}, set(LAYERS)):
        names = wanted - less
        if "files" in names and not _has_landlock():
            continue
        start = functools.partial(_all, _steps(names, "cpython", ""))
        escapes = probe(_HERE / "confine.py", start if names else None)
        if escapes is not None:
            return names, [_told(name, names, escapes) for name in LAYERS]
    return frozenset(), [_told(name, frozenset(), frozenset(ESCAPES)) for name in LAYERS]


def _told(name: str, names: frozenset[str], escapes: frozenset[str]) -> Protection:
    """Say of one layer whether it holds, and by what."""
    ways = {
        "limits": f"{MEMORY >> 20} MB, {CPU_S} s of the processor, no file",
        "files": "Landlock", "calls": "a filter of system calls (seccomp)",
        "sight": "a tree of files of its own",
        "network": "a network of its own" if _State.lonely else "sockets are refused",
    }  # fmt: skip
    found = sorted(what for what, layer in ESCAPES.items() if layer == name and what in escapes)
    if not found and (name in names or name == "network"):
        return Protection(name, True, ways[name])
    why = "left out" if name in _State.without else "this system does not offer it"
    return Protection(name, False, f"{why}: a program can {', '.join(found)}" if found else why)


def _has_landlock() -> bool:
    if sys.platform != "linux":
        return False
    from .confine_linux import landlock_version

    return landlock_version() > 0


def _all(steps: Sequence[_Step]) -> None:
    for step in steps:
        step()


def _end_without(parent: int) -> None:
    """End this process if the one that started it has gone before its end could be heard of."""
    if os.getppid() != parent:
        os._exit(1)


def kept_to(flash: Path) -> _Step | None:
    """Give what a plugged tug's process does before it starts: it keeps to its flash.

    Its program is the person's own, so this is a help against slips and no wall.  None where the
    system does not offer it.
    """
    if not _has_landlock():
        return None
    from . import confine_linux as linux

    rules = board_rules("micropython", "", str(flash)).apply
    return functools.partial(_all, (linux.die_with_parent, linux.no_new_privileges, rules))


@functools.cache
def _filter() -> Filter:
    from .confine_calls import Filter

    return Filter()


def _steps(names: frozenset[str], engine: str, folder: str) -> tuple[_Step, ...]:
    """Give the steps of these layers, in the order in which each still may be taken."""
    steps: list[_Step] = []
    if "limits" in names:
        import resource  # noqa: F401  (here, for it is used where nothing may be loaded)

        steps.append(_limit)
    steps += _walls(names, engine, folder)
    if sys.platform == "linux" and "calls" in names:
        steps.append(_filter().apply)
    return tuple(steps)


def _walls(names: frozenset[str], engine: str, folder: str) -> list[_Step]:
    """Give those among the steps that also hold for whatever this process forks."""
    steps: list[_Step] = []
    if sys.platform == "linux" and names:
        from . import confine_linux as linux

        if "sight" in names and _State.root is not None and engine == "cpython":
            steps.append(_State.root)
        here = functools.partial(_end_without, os.getpid())
        steps += [linux.die_with_parent, here, linux.no_new_privileges]
        if "files" in names:
            steps.append(board_rules(engine, folder).apply)
        steps.append(linux.no_capabilities)
    return steps


def _limits() -> dict[str, int]:
    """Give the limits of a board's process, by the names that this system has of them."""
    import resource

    limits = {
        "RLIMIT_CPU": CPU_S, "RLIMIT_FSIZE": 0, "RLIMIT_CORE": 0, "RLIMIT_NPROC": 0,
        "RLIMIT_NOFILE": 64, "RLIMIT_AS": MEMORY,
    }  # fmt: skip
    return {name: most for name, most in limits.items() if hasattr(resource, name)}


def _limit() -> None:
    """Set the limits of a board's process."""
    import resource

    for name, most in _limits().items():
        try:
            resource.setrlimit(getattr(resource, name), (most, most))
        except (ValueError, OSError):  # this system has it and does not heed it: it is tried
            continue
