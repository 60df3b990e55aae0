"""Said: what a person has said of files that came: whose each is, and of which lesson.

A file is known by what it holds and by where it would go by itself, so that the same text of
somebody else is another matter, and no later `collect` puts it back where it does not belong.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from robotsim import KitError

from ..whole import write_whole
from .classroom import OWN

__all__ = ["Place", "Said", "folders_of", "said_of", "write_folders", "write_said"]

Place = tuple[str, str]
"""A learner's id and a lesson."""
Said = Mapping[tuple[str, Place | None], Place]
"""A file's mark and where it would go by itself, None for nowhere; to where it belongs."""

_NOTE, _FOLDERS = "assigned.json", "folders.json"


def said_of(course: Path) -> dict[tuple[str, Place | None], Place]:
    """Give all that was said.

    Raises:
        KitError: The note of it is damaged; nothing is written over it.
    """
    path = course / OWN / _NOTE
    try:
        rows = json.loads(path.read_text(encoding="utf-8"))
        return {(mark, (old[0], old[1]) if old else None): (new[0], new[1])
                for mark, old, new in rows}  # fmt: skip
    except FileNotFoundError:
        return {}
    except (ValueError, TypeError, IndexError) as fault:
        raise KitError("The note of what was assigned is damaged.", where=str(path),
                       hint="put a copy of it in its place, or delete it and assign anew.",
                       ) from fault  # fmt: skip


def write_said(course: Path, said: Said) -> None:
    """Keep what was said."""
    rows = [[mark, old, new] for (mark, old), new in said.items()]
    write_whole(course / OWN / _NOTE, json.dumps(rows, indent=1).encode("utf-8"))


def folders_of(course: Path) -> dict[str, str]:
    """Give the folders of platforms of which a person has said whose they are: name to id.

    Raises:
        KitError: The note of it is damaged; nothing is written over it.
    """
    path = course / OWN / _FOLDERS
    try:
        return {str(k): str(v) for k, v in json.loads(path.read_text(encoding="utf-8")).items()}
    except FileNotFoundError:
        return {}
    except (ValueError, TypeError, AttributeError) as fault:
        raise KitError("The note of whose folders are whose is damaged.", where=str(path),
                       hint="put a copy of it in its place, or delete it and assign anew.",
                       ) from fault  # fmt: skip


def write_folders(course: Path, folders: Mapping[str, str]) -> None:
    """Keep whose the folders are."""
    write_whole(course / OWN / _FOLDERS, json.dumps({**folders}, indent=1).encode("utf-8"))
