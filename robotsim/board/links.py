"""Links: a program in a process of its own, or, where there is none, in this thread."""

from __future__ import annotations

from collections.abc import Mapping
from types import TracebackType
from typing import Protocol, Self

from ..errors import UnknownNameError
from ..origin import Whose
from .direct import DirectLink, plugged_in
from .engines import USUAL
from .order import Patience
from .ports import Hear

__all__ = ["AnyLink", "open_link"]


class AnyLink(Protocol):
    """A program that has been started, and with which its board can talk."""

    silenced: bool
    silence_s: float
    patience: Patience

    def talk(self, hear: Hear) -> None:
        """Hand each of the program's messages on, and back what comes of it, until it is gone."""

    def __enter__(self) -> Self:
        """Give the link itself."""
        ...

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None,
        trace: TracebackType | None,
    ) -> None:  # fmt: skip
        """End the program."""


def open_link(
    files: Mapping[str, str], program: str, engine: str, silence_s: float, seed: int, lines: bool,
    *, whose: Whose, flash: Mapping[str, bytes], cause: str, patience: Patience,
) -> AnyLink:  # fmt: skip
    """Start a program wherever programs run here; the arguments are those of `Link`.

    Raises:
        KitError: It is a stranger's and cannot be confined, or there is no such engine.
    """
    if interpreter := plugged_in():
        if engine != USUAL:
            raise UnknownNameError("engine in a browser", engine, [USUAL])
        return DirectLink(interpreter, files, program, seed, lines, flash=flash, cause=cause)
    from .link import Link

    return Link(
        files, program, engine, silence_s, seed, lines, whose=whose, flash=flash, cause=cause,
        patience=patience,
    )  # fmt: skip
