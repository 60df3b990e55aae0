"""Console: the printed lines of a recording as plain text, each with its simulated time."""

from __future__ import annotations

from ..recording import Problem, Recording
from ..units import seconds
from .facts import ending

__all__ = ["console"]

_INDENT = " " * 11
_WIDEST = 300
"""Characters of one printed line that are shown."""
_OFTEN = 100
"""Who prints more lines in a second than that does not want them read."""


def console(recording: Recording, *, first: int = 40, last: int = 10) -> str:
    """Give what the program printed, with the times, and how it ended if it went wrong.

    Args:
        recording: What to tell of.
        first: How many lines to show from the beginning of a long output.
        last: How many lines to show from its end.

    Returns:
        Lines such as `  0.250 s  hello`, joined by newlines; empty if nothing was
        printed and nothing went wrong.
    """
    lines = [_timed(time, text) for time, text in recording.printed]
    left_out = len(lines) - first - last
    if left_out > 1:
        gap = f"{_INDENT}... {left_out} lines left out ..."
        lines = [*lines[:first], gap, *lines[len(lines) - last :]]
    if left_out > 1 and _prints_without_rest(recording):
        lines.append(f"{_INDENT}Try: a time.sleep(0.1) in the loop, so that its lines can be read.")
    bad = recording.ended in ("error", "stopped")
    if recording.problem is not None:
        # a problem in a callback does not end the program, and so has no time of its own
        time = f"{seconds(recording.ended_ns):7.3f} s" if bad else " " * 9
        lines += _trouble(recording.problem, time)
    elif bad:
        lines.append(f"{seconds(recording.ended_ns):7.3f} s  {recording.program} "
                     f"{ending(recording).rsplit(' at ', 1)[0]}")  # fmt: skip
    return "\n".join(lines)


def _prints_without_rest(recording: Recording) -> bool:
    """Tell whether a program printed without end, and never waited."""
    if recording.ended != "time is up" or len(recording.printed) < _OFTEN * recording.seconds:
        return False
    return not any(True for _ in recording.of("sleep"))


def _timed(time: float, text: str) -> str:
    if len(text) > _WIDEST:
        text = f"{text[:_WIDEST]} ... {len(text) - _WIDEST} characters left out"
    return f"{time:7.3f} s  {text}".rstrip()


def _trouble(problem: Problem, time: str) -> list[str]:
    """Give a problem as lines: when and what, where and how the program got there, what to try."""
    said = f"{problem.kind}: {problem.message}" if problem.message else problem.kind
    head, *more = said.splitlines()
    rows = [f"{time}  {head}", *(_INDENT + row for row in more)]
    if problem.file:
        rows.append(f"{_INDENT}Where: {problem.file}, line {problem.line}")
        if problem.source:
            rows.append(f"{_INDENT}       {problem.source.strip()}")
    if ways := [f"{file}, line {line}" for file, line in problem.called_from[:5]]:
        rows.append(f"{_INDENT}Called from: {'; '.join(ways)}")
    if problem.hint:
        rows.append(f"{_INDENT}Try: {problem.hint}")
    return rows
