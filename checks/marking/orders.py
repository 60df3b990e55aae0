"""Orders: what the command line says while a class is marked, and after it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from ..shown import on_line, rows_of, say
from .marker import Marked, mark
from .pool import LocalPool, Pool

__all__ = ["mark_class"]


def mark_class(
    course: Path, lessons: Sequence[str], learners: Sequence[str], *, again: bool,
    cores: int | None, pictures: bool, cluster: str | None, unprotected: bool,
) -> int:  # fmt: skip
    """Mark a class and say what came of it; give the exit code."""
    pool: Pool
    if cluster is None:
        pool = LocalPool(cores, pictures=pictures, unprotected=unprotected)
    else:
        from .cluster import ClusterPool

        pool = ClusterPool(cluster, pictures=pictures, unprotected=unprotected)
    _tell(mark(course, lessons=lessons, learners=learners, again=again, pool=pool, tell=_kept_in))
    return 0


def _kept_in(protections: Sequence[tuple[str, bool, str]]) -> None:
    """Say what programs are kept from, before any is run."""
    on = [name for name, is_on, _ in protections if is_on]
    off = [f"{name} ({by})" for name, is_on, by in protections if not is_on]
    say(f"Programs are kept in by: {', '.join(on) or 'nothing'}")
    if off:
        say(f"Not here: {', '.join(off)}")


def _tell(found: Marked) -> None:
    for words in found.doubtful:
        say(f"look: {words}")
    kept = found.unchanged or found.strangers or found.left
    if not (found.done or kept or found.for_you):
        say("Nothing has been handed in yet of what was to be marked.",
            "  Try: `python3 checks collect FOLDER DOWNLOADS` takes what was handed in.")
        return
    say(f"{found.done} marked, {found.unchanged} marked before and not changed since")
    if found.strangers:
        say(f"Not in the roster, so left as they are: {_listed(found.strangers)}")
    if found.left:
        say(f"Gone, so what was marked stays: {_listed(found.left)} (--learner NAME marks anew)")
    if found.for_you:
        say("", f"{len(found.for_you)} for you to look at:")
        for learner, lesson, words in found.for_you:
            first, *rest = rows_of(words)
            say(f"  {on_line(learner)}, {lesson}: {first}", *(f"  {row}" for row in rest))


def _listed(learners: Iterable[str]) -> str:
    return ", ".join(map(on_line, sorted(learners)))
