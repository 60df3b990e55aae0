"""Quayside's checks: a recording in, points and reasons out."""

from __future__ import annotations

import sys

from .judge import check
from .scorecard import Scorecard
from .task import (
    Clues,
    Criterion,
    Evidence,
    Facts,
    Finding,
    Mistake,
    Run,
    Task,
    criterion,
    mistake,
    share,
)
from .tasks import TASKS

__all__ = [
    "TASKS",
    "Clues",
    "Criterion",
    "Evidence",
    "Facts",
    "Finding",
    "Mistake",
    "Run",
    "Scorecard",
    "Task",
    "check",
    "criterion",
    "mistake",
    "share",
]

# jsonschema loads them, where they are there, to check addresses with letters beyond ASCII and
# spans of time, which nothing here has.  The first compiles 39 grammars: half of the processor time
# until a server's first page, and a sixth of its memory.  Without them jsonschema does the rest.
for _name in ("rfc3987_syntax", "isoduration"):
    sys.modules.setdefault(_name, None)  # type: ignore[arg-type]
