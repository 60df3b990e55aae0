"""Core: the modules in which a trial's time goes, plain or compiled from the same sources.

`python3 lessons --compile` has them compiled into a folder of the environment
(`checks/compile.py`), with a list of what they were made of.  They take the sources' place as long
as those are the very same; once one is edited, all of it runs from the sources again.  Nothing
ever needs this.
"""

from __future__ import annotations

import enum
import hashlib
import importlib.machinery
import importlib.util
import json
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from mypy_extensions import mypyc_attr
else:

    def mypyc_attr(**_: bool) -> Callable[[_Class], _Class]:
        """Give a class back: it only tells the compiler something."""
        return lambda kind: kind


__all__ = [
    "FOLDER", "GROUP", "LIST", "WHICH", "Core", "condensed", "mypyc_attr", "place", "state", "use",
]  # fmt: skip

FOLDER = Path(sys.prefix) / "quayside-core"
"""Where the compiled modules are."""
LIST = "made.json"
"""The file in it that tells what they were made of; it is written last."""
GROUP = "quayside_core__mypyc"
"""The one library that holds them all; a module is a door to it."""
WHICH = "QUAYSIDE_CORE"
"""This variable of the system may name another folder; `plain` is none."""

_ROOT = Path(__file__).resolve().parent
_Class = TypeVar("_Class", bound=type[Any])


class Core(enum.Enum):
    """Which of the two runs, and why."""

    COMPILED = "compiled"
    """Compiled modules do."""
    PLAIN = "plain"
    """The sources do: nothing else is there, or it is not wanted."""
    OUTDATED = "outdated"
    """The sources do: those that were compiled have been edited since."""
    BROKEN = "broken"
    """The sources do: what was compiled does not load here."""


def condensed(names: Iterable[str], root: Path = _ROOT.parent) -> str:
    """Condense the sources of some modules, and what they were compiled for, to a few letters.

    Args:
        names: Their full names.
        root: The folder of the package.
    """
    mark = hashlib.sha256(importlib.machinery.EXTENSION_SUFFIXES[0].encode())
    for name in names:
        mark.update(name.encode() + b"\n")
        mark.update(root.joinpath(*name.split(".")).with_suffix(".py").read_bytes())
    return mark.hexdigest()


class _Finder:
    """Finds the compiled modules before Python finds the sources."""

    def __init__(self, files: Mapping[str, str]) -> None:
        self._files = files

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        """Say where a module is, if it is one of these."""
        file = self._files.get(name)
        return importlib.util.spec_from_file_location(name, file) if file else None


def use(folder: Path) -> Core:
    """Let the compiled modules be found, if they are of the present sources; say what came.

    It goes before anything that is compiled is loaded.
    """
    if not (folder / LIST).is_file():
        return Core.PLAIN
    try:
        made = json.loads((folder / LIST).read_text(encoding="utf-8"))
        names, sources = [str(name) for name in made["modules"]], made["sources"]
    except (OSError, ValueError, KeyError, TypeError):
        return Core.BROKEN
    try:
        if sources != condensed(names):
            return Core.OUTDATED
    except OSError:
        return Core.OUTDATED
    suffix = importlib.machinery.EXTENSION_SUFFIXES[0]
    finder = _Finder({n: str(folder.joinpath(*n.split("."))) + suffix for n in (GROUP, *names)})
    sys.meta_path.insert(0, finder)
    try:
        importlib.import_module(GROUP)
    except ImportError:
        sys.meta_path.remove(finder)
        return Core.BROKEN
    return Core.COMPILED


place = Path(os.environ.get(WHICH) or FOLDER)
"""Where this process looks for the compiled modules."""
state = use(place)
"""What runs in it."""
