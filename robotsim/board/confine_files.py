"""Confine, files: what of the computer's files is left to a board's process and to its host."""

from __future__ import annotations

import functools
import os
import sys
import sysconfig
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .confine_linux import Ruleset

__all__ = ["board_rules", "host_rules", "small_root"]

_HERE = Path(__file__).resolve().parent
_LIBRARIES = ("/lib", "/lib64", "/usr/lib", "/usr/lib64", "/etc/ld.so.cache")


@functools.cache
def board_rules(engine: str, folder: str, flash: str = "") -> Ruleset:
    """Make the rules about files of a board's process."""
    from . import confine_linux as linux

    if engine == "cpython":
        return linux.Ruleset(
            read=[*_stdlib(), *_LIBRARIES, str(_HERE / "shims"), str(_HERE / "engines"),
                  *_config()],
            execute=[os.path.realpath(sys.executable), *_loaders()],
            # The interpreter looks there for its modules by listing it.
            names=[sysconfig.get_path("stdlib")],
        )  # fmt: skip
    from .engines import command

    # It is a module of Python's that a small program of the package starts.
    return linux.Ruleset(
        read=[*_stdlib(), *_LIBRARIES, sys.prefix, str(_HERE / "shims"), str(_HERE / "engines"),
              folder],
        write=[flash] if flash else [],
        execute=[command(engine)[0], os.path.realpath(sys.executable), *_loaders()],
        names=[sysconfig.get_path("stdlib")],
    )  # fmt: skip


def host_rules(work: Path, read: Sequence[Path]) -> Ruleset:
    """Make the rules about files of a process that starts boards; see `confine_process`."""
    from . import confine_linux as linux

    own = {sys.prefix, sys.base_prefix, sys.exec_prefix, sys.base_exec_prefix}
    folders = [*own, *_LIBRARIES, "/etc", "/dev/urandom", "/usr/share/zoneinfo", *map(str, read)]
    # Some tasks ask a compiler that is installed as a package; it is held to the same rules.
    runs = [os.path.realpath(sys.executable), sys.prefix, *_LIBRARIES, *_loaders()]
    return linux.Ruleset(read=folders, write=[str(work)], execute=runs)


def small_root(work: Path) -> Callable[[], object] | None:
    """Make the tree in which boards live; None where this system does not let us."""
    from . import confine_linux as linux

    place = work / "root"
    place.mkdir()
    seen = [
        *_LIBRARIES, sysconfig.get_path("stdlib"), *_stdlib(), *_config(), *_python(),
        str(_HERE / "shims"), str(_HERE / "engines"), "/dev/null", "/dev/urandom",
    ]  # fmt: skip
    try:
        return linux.SmallRoot(place, seen).enter
    except OSError:
        return None


def _python() -> list[str]:
    """Give the interpreter, under each of its names on the way to the file itself."""
    names = [sys.executable]
    while os.path.islink(names[-1]):
        names.append(os.path.join(os.path.dirname(names[-1]), os.readlink(names[-1])))
    return [*names, os.path.realpath(sys.executable)]


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
