"""Limits: what is asked of a sketch that it cannot draw ends with a sentence."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from typing import Any, NoReturn, TypeVar

from robotsim import KitError

__all__ = ["NoPicturesError", "limited"]

_Class = TypeVar("_Class", bound=type)


class NoPicturesError(KitError):
    """A picture cannot be drawn here."""

    def __init__(self) -> None:
        super().__init__(
            "This picture is drawn by matplotlib, and this page has been made without it.",
            hint="run your program: its replay shows the same. All pictures are there where the"
            " kit is installed on a computer.",
        )


def limited(drawer: _Class) -> _Class:
    """Let a class end with a sentence when it is asked for a method or an argument it has not."""

    def lacking(self: Any, name: str) -> NoReturn:
        raise AttributeError(name) if name.startswith("__") else NoPicturesError

    for name, method in list(vars(drawer).items()):
        if inspect.isfunction(method) and not name.startswith("_"):
            setattr(drawer, name, _limited(method))
    drawer.__getattr__ = lacking  # type: ignore[attr-defined]
    return drawer


def _limited(method: Callable[..., Any]) -> Callable[..., Any]:
    known = inspect.signature(method)

    @functools.wraps(method)
    def asked(*given: Any, **named: Any) -> Any:
        try:
            known.bind(*given, **named)
        except TypeError:
            raise NoPicturesError from None
        return method(*given, **named)

    return asked
