"""Said: what a person has said of files that came: whose each is, and of which lesson.

A file is known by what it holds and by where it would go by itself, so that the same text of
somebody else is another matter, and no later `collect` puts it back where it does not belong.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from .classroom import OWN
from .note import read_note, write_note

__all__ = ["Place", "Said", "folders_of", "said_of", "write_folders", "write_said"]

Place = tuple[str, str]
"""A learner's id and a lesson."""
Said = Mapping[tuple[str, Place | None], Place]
"""A file's mark and where it would go by itself, None for nowhere; to where it belongs."""

_NOTE, _FOLDERS = "assigned.json", "folders.json"


_ANEW = "or delete it and assign anew"


def said_of(course: Path) -> dict[tuple[str, Place | None], Place]:
    """Give all that was said.

    Raises:
        KitError: The note of it is damaged.
    """

    def read(rows: Any) -> dict[tuple[str, Place | None], Place]:
        return {(mark, (old[0], old[1]) if old else None): (new[0], new[1])
                for mark, old, new in rows}  # fmt: skip

    return read_note(course / OWN / _NOTE, read, {}, "The note of what was assigned", _ANEW)


def write_said(course: Path, said: Said) -> None:
    """Keep what was said."""
    write_note(course / OWN / _NOTE, [[mark, old, new] for (mark, old), new in said.items()])


def folders_of(course: Path) -> dict[str, str]:
    """Give the folders of platforms of which a person has said whose they are: name to id.

    Raises:
        KitError: The note of it is damaged.
    """

    def read(told: Any) -> dict[str, str]:
        return {str(folder): str(learner) for folder, learner in told.items()}

    what = "The note of whose folders are whose"
    return read_note(course / OWN / _FOLDERS, read, {}, what, _ANEW)


def write_folders(course: Path, folders: Mapping[str, str]) -> None:
    """Keep whose the folders are."""
    write_note(course / OWN / _FOLDERS, {**folders})
