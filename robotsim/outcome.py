"""Outcome: how a program ended on its board, told for its writer."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any

from .board.advice import advise, called, syntax
from .board.board import Board
from .board.computing import place
from .board.faults import Absorbed, Ended, TimeUp
from .board.links import AnyLink
from .board.ports import Hear
from .errors import LinkError
from .recording import Problem
from .units import SECOND

__all__ = ["problem_of", "serve"]

_ABSORBED_S = 1.0
"""A program that has not touched its board for so long when the time is up is told so."""


def serve(
    board: Board, link: AnyLink, hear: Hear, files: Mapping[str, str]
) -> tuple[str, Problem | None]:
    """Let the program drive its board to its end: how it ended, and what went wrong."""
    word: Mapping[str, Any] = {}
    try:
        link.talk(hear)
    except TimeUp:
        return "time is up", _absorbed(board, files)
    except Absorbed:
        return "stopped", _absorbed(board, files)
    except LinkError as fault:
        return "stopped", Problem("stopped", fault.what, hint=fault.hint)
    except Ended as end:
        word = end.word
    if word.get("kind") == "finished":
        return "finished", None
    if link.silenced:
        return "stopped", problem_of(word, files, _silent(link))
    if not word:
        return "stopped", Problem(
            "stopped",
            "The program's process ended without a word.",
            hint="does the program end its own process, or fill its memory?",
        )
    return "error", problem_of(word, files, {})


def _absorbed(board: Board, files: Mapping[str, str]) -> Problem | None:
    """Tell of a program that was lost in computing when the time was up."""
    since = (min(board.now_ns, board.limit_ns) - board.computing_since) / SECOND
    file, line = place(files, board.computing_at)
    if since < _ABSORBED_S or not file:
        return None
    word = {"kind": "stopped", "calls": [(file, line, "")]}
    return problem_of(word, files, _absent(since))


def _silent(link: AnyLink) -> dict[str, str]:
    if link.patience.left_s <= 0:
        return {
            "kind": "stopped",
            "message": "has kept its board waiting too long in all",
            "hint": "what takes so long between two steps? Work it out once, before the loop.",
        }
    return _absent(link.silence_s)


def _absent(seconds: float) -> dict[str, str]:
    return {
        "kind": "stopped",
        "message": f"has run for {seconds:.2g} s without touching the board",
        "hint": "does the loop sleep? Put a time.sleep_ms(10) into it.",
    }


def problem_of(
    word: Mapping[str, Any], files: Mapping[str, str], told: Mapping[str, str]
) -> Problem:
    """Put the learner's place and what to try to what the process reported."""
    calls = tuple((file, line, function) for file, line, function in word.get("calls", ()))
    kind, message = str(word.get("kind", "stopped")), str(word.get("message", ""))
    file, line = (calls[-1][0], calls[-1][1]) if calls else called(message, files)
    found = syntax(file, files[file]) if _unread(kind, files, file) else None
    hint = ""
    if found:
        kind, message, line, hint = found
        calls = (*calls[:-1], (file, line, "<module>"))
    rows = files.get(file, "").split("\n")
    source = rows[line - 1].strip() if 0 < line <= len(rows) else ""
    hint = hint or advise(kind, message, source, files)
    problem = Problem(kind, message, file, line, source, calls, hint)
    return dataclasses.replace(problem, **told)  # type: ignore[arg-type]


def _unread(kind: str, files: Mapping[str, str], file: str) -> bool:
    """Tell whether an exception says that a file could not even be read as a program."""
    return kind in ("SyntaxError", "IndentationError") and file in files
