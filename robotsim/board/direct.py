"""Direct: a program that calls its board as a function, where there can be no process.

A browser's tab is such a place, and so is a test.  Whoever has an interpreter there plugs it in;
from then on every program runs in it.  Nothing here needs processes, threads or signals.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from types import TracebackType

from .engines import shim_names
from .order import SILENCE_S, Patience, make_order
from .ports import Hear

__all__ = ["DirectLink", "Interpreter", "plug_in", "plugged_in"]

Interpreter = Callable[[str, Callable[[str], str]], None]
"""Runs one program from its start to its end, in a fresh interpreter.

It is given the order (JSON, see LINK.md) and the function to which the program's messages go,
one or more lines at a time, and which gives lines back. What that function raises must end the
program on the spot, whatever it catches."""

_PLUGGED: list[Interpreter] = []


def plug_in(interpreter: Interpreter | None) -> None:
    """From now on run every program by direct calls of this interpreter; None: in processes."""
    _PLUGGED[:] = [interpreter] if interpreter else []


def plugged_in() -> Interpreter | None:
    """Give the interpreter that is plugged in, if one is."""
    return _PLUGGED[0] if _PLUGGED else None


class DirectLink:
    """The link to a program in this very thread; used like a `Link`.

    Args:
        interpreter: What runs the program.
        files: The board's files, name to text.
        program: The file to run.
        seed: Seed of the board's random numbers.
        lines: Whether the program is to tell which of its lines is running.
        flash: What the board's flash holds, where that is more than the files.
        cause: Why the board has started.
        pace: How many times as long its computing takes as on the board of the tug as drawn.
    """

    silenced = False
    silence_s = SILENCE_S
    patience = Patience()

    def __init__(
        self, interpreter: Interpreter, files: Mapping[str, str], program: str, seed: int = 0,
        lines: bool = False, *, flash: Mapping[str, bytes] | None = None, cause: str = "power",
        pace: float = 1.0,
    ) -> None:  # fmt: skip
        self._interpreter = interpreter
        order = make_order(files, program, seed, lines, flash, cause, pace, "micropython")
        self._order = json.dumps({**order, "shims": shim_names()})

    def talk(self, hear: Hear) -> None:
        """Run the program, and hand its messages on.

        Returns when it has gone without a last word; what else ends a trial is raised by `hear`.
        """
        end: list[BaseException] = []

        def exchange(data: str) -> str:
            try:
                if end:
                    raise end[0]
                lines = data.encode("utf-8", "surrogatepass").split(b"\n")
                return b"\n".join(filter(None, map(hear, filter(None, lines)))).decode()
            except BaseException as fault:
                end.append(fault)
                raise

        try:
            self._interpreter(self._order, exchange)
        finally:
            if end:
                raise end[0]

    def __enter__(self) -> DirectLink:
        """Give the link itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None,
        trace: TracebackType | None,
    ) -> None:  # fmt: skip
        """Leave nothing behind: the interpreter has ended already."""
