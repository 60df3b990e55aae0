"""No pictures: what stands in for the drawing library in a page that has none.

The kit's own pictures are drawn by matplotlib. Where it is missing its names can still be imported,
so that every lesson's first cell runs; whoever draws with them ends with a sentence, not with a
traceback. Runs are shown as replays then, which the browser draws itself.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from types import ModuleType
from typing import Any

from robotsim import KitError

__all__ = ["NoPicturesError", "leave_out"]

_HEADS = ("matplotlib", "numpy", "PIL")


class NoPicturesError(KitError):
    """A picture cannot be drawn here."""


class _Absent:
    """A name of the library; whoever uses it is told."""

    def __getattr__(self, name: str) -> _Absent:
        if name.startswith("__"):
            raise AttributeError(name)
        return self

    def __call__(self, *_: Any, **__: Any) -> Any:
        raise NoPicturesError(
            "This picture is drawn by matplotlib, and this page has been made without it.",
            hint="run your program: its replay shows the same. All pictures are there where the"
            " kit is installed on a computer.",
        )

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
        """Make it."""
        return _Module(spec.name)

    def exec_module(self, module: ModuleType) -> None:
        """Leave it empty."""


def leave_out(shell: Any) -> None:
    """Stand in for the library, and have a shell tell of a missing picture in a sentence."""
    sys.meta_path.append(_Finder())  # the last one: it finds what is nowhere else
    plain = shell.showtraceback

    def tell(exc_tuple: Any = None, *given: Any, **more: Any) -> None:
        fault = (exc_tuple or sys.exc_info())[1]
        if isinstance(fault, NoPicturesError):
            print(fault)  # and the notebook goes on
        else:
            plain(exc_tuple, *given, **more)

    shell.showtraceback = tell
