"""The mistakes of orders by radio in the shape that the lesson `harbour` still takes them in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from robotsim import Recording

from ...readings.radio import Heard
from ...task import Evidence, Mistake
from .. import hearing, reports
from ..orders import ByRadio
from .report_mistakes import MISTAKES

__all__ = ["ENDED", "REPORT", "each", "joining", "late", "not_announced", "text_of"]

Recordings = Sequence[Recording]
Look = Callable[[Recordings], str | None]


def each(look: Callable[[Recording], str | None]) -> Look:
    """Look at one recording after the other: the first evidence."""
    return lambda recordings: next(filter(None, map(look, recordings)), None)


def text_of(heard: Heard) -> str:
    """Give an order's text, short enough for a card."""
    return heard.text


def _words(found: str | Evidence | None) -> str | None:
    return found.words if isinstance(found, Evidence) else found


def _of_recordings(known: Mistake) -> Mistake:
    """Give a mistake that looks at recordings, and explains any loss."""

    def look(recordings: Recordings) -> str | None:
        return _words(known.evidence(ByRadio(recordings)))

    return replace(known, look=look, costs=frozenset(), explains=frozenset())


def joining() -> tuple[Mistake, ...]:
    """Give the mistakes on the way to the first message."""
    return tuple(map(_of_recordings, (hearing.evaluated([]), *hearing.JOINING)))


def late(recording: Recording) -> str | None:
    """Tell of an order that waited on the board."""
    return _words(hearing.obeyed_late().evidence(ByRadio([recording])))


def not_announced(recording: Recording) -> str | None:
    """Tell of a tug that takes orders and has not said so."""
    return _words(next(reports.not_announced(ByRadio([recording])), None))


ENDED = _of_recordings(hearing.ENDED)
REPORT = tuple(map(_of_recordings, MISTAKES))
