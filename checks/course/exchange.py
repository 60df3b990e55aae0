"""Exchange: what nbgrader's own exchange holds of a course, as a place to collect from.

Its folders are called `ID+LESSON+2026-03-01 10:00:00.123456 UTC`, with something random behind
(nbgrader 0.9.6, ExchangeSubmit).  Everybody may put a folder there, under any name; whose it is, is
told by the system that it lies on.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

__all__ = ["Sent", "inbound", "sent", "somebody_elses"]

_FOLDER = re.compile(
    r"(?P<id>[A-Za-z0-9][A-Za-z0-9._-]*)\+(?P<lesson>[^+]+)\+"
    r"(?P<time>20\d\d-\d\d-\d\d \d\d:\d\d:\d\d)(?:\.\d+)? (?P<zone>[A-Za-z0-9:+-]+?)(?:\+[^+]*)?"
)

Sent = tuple[str, datetime]
"""Whose a folder says it is, and when it was put there."""


def inbound(place: Path, course: str) -> Path:
    """Give the folder of an exchange in which a course's submissions are; else the place itself.

    The desk of a class's server lies like a course called `desk`, whatever the course is called.
    """
    for folder in (place / "inbound", place / course / "inbound", place / "desk" / "inbound"):
        if folder.is_dir():
            return folder
    return place


def sent(part: str) -> Sent | None:
    """Read the name of a folder of the exchange; None for any other name."""
    found = _FOLDER.fullmatch(part)
    if found is None:
        return None
    try:
        when = datetime.strptime(found["time"], "%Y-%m-%d %H:%M:%S")
    except ValueError:
        return None
    return found["id"], when.replace(tzinfo=UTC) if found["zone"] == "UTC" else when.astimezone(UTC)


def somebody_elses(folder: Path, learner: str) -> str:
    """Name who put a folder there, where that is another than the learner whom it names; else "".

    Only where learners are users of this system can that be told.
    """
    try:
        import pwd

        owner = pwd.getpwuid(folder.stat().st_uid).pw_name
        pwd.getpwnam(learner)
    except (ImportError, KeyError, OSError):
        return ""
    return "" if owner == learner else owner
