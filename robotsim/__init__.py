"""Quayside's simulator: a learner's program drives a tug, and a recording tells what came of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from . import core as core  # first: it settles where the others come from
from .errors import KitError, UnknownNameError
from .origin import Whose
from .recording import Event, Problem, Recording
from .table import TABLES, make_table
from .trial import run_trial
from .wiring import LAMPS, PINS

if TYPE_CHECKING:
    from .cable.aboard import aboard
    from .notebook import replay, run
    from .onto import export, ready
    from .twin import pins_of
    from .versions import back, earlier, remove, take

__all__ = [
    "LAMPS",
    "PINS",
    "TABLES",
    "Event",
    "KitError",
    "Problem",
    "Recording",
    "UnknownNameError",
    "Whose",
    "aboard",
    "back",
    "earlier",
    "export",
    "make_table",
    "pins_of",
    "ready",
    "remove",
    "replay",
    "run",
    "run_trial",
    "take",
]

_LAZY = {
    "aboard": "cable.aboard", "back": "versions", "earlier": "versions", "export": "onto",
    "pins_of": "twin", "ready": "onto", "remove": "versions", "replay": "notebook",
    "run": "notebook", "take": "versions",
}  # fmt: skip


def __getattr__(name: str) -> Any:
    """Load what needs a notebook or a picture only when it is asked for."""
    if name in _LAZY:
        from importlib import import_module

        return getattr(import_module(f".{_LAZY[name]}", __name__), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
