"""No pictures: what stands in for the drawing library in a page that has none.

The kit's own pictures are drawn by matplotlib. Where it is missing its names can still be imported,
so that every lesson's first cell runs. What the sliders draw with is there, as a small drawer of
SVG (sketch/); whoever draws with anything else ends with a sentence, not with a traceback. Runs are
shown as replays then, which the browser draws itself.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from types import ModuleType
from typing import Any

from .sketch import MODULES, NoPicturesError

__all__ = ["leave_out", "stand_in"]

_HEADS = ("matplotlib", "numpy", "PIL")


class _Absent:
    """A name of the library; whoever uses it is told."""

    def __getattr__(self, name: str) -> _Absent:
        if name.startswith("__"):
            raise AttributeError(name)
        return self

    def __call__(self, *_: Any, **__: Any) -> Any:
        raise NoPicturesError

    def __mro_entries__(self, bases: tuple[Any, ...]) -> tuple[type, ...]:
        return ()

    def __or__(self, other: Any) -> Any:
        return other

    __ror__ = __getitem__ = __or__


class _Module(ModuleType):
    __path__: list[str] = []

    def __getattr__(self, name: str) -> _Absent:
        if name.startswith("__"):
            raise AttributeError(name)
        return _Absent()


class _Finder(MetaPathFinder, Loader):
    """Finds the library's modules, of which there are none."""

    def find_spec(
        self, name: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Find one."""
        known = name.partition(".")[0] in _HEADS
        return ModuleSpec(name, self, is_package=True) if known else None

    def create_module(self, spec: ModuleSpec) -> ModuleType:
        """Make it, with what of it the sketches have."""
        made = _Module(spec.name)
        vars(made).update(MODULES.get(spec.name, {}))
        return made

    def exec_module(self, module: ModuleType) -> None:
        """Leave it empty."""


def stand_in() -> None:
    """Let the library's names be found, where they are nowhere else."""
    sys.meta_path.append(_Finder())


def leave_out(shell: Any) -> None:
    """Stand in for the library, and have a shell tell of a missing picture in a sentence."""
    stand_in()
    plain = shell.showtraceback

    def tell(exc_tuple: Any = None, *given: Any, **more: Any) -> None:
        fault = (exc_tuple or sys.exc_info())[1]
        if isinstance(fault, NoPicturesError):
            print(fault)  # and the notebook goes on
        else:
            plain(exc_tuple, *given, **more)

    shell.showtraceback = tell
