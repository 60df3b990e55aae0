"""Marked: a learners' edition has copies in the place of its lessons, and says so in each.

Needs the standard library only: nbformat alone takes seconds to load, and a learner waits for it.
"""

from __future__ import annotations

import json

__all__ = ["marked_as_copy", "unmarked_copy"]

_COPY = "quayside_copy"
"""Marks the notebook of a learners' edition; the copy made of it does not bear it."""


def marked_as_copy(copy: bytes) -> bytes:
    """Give a learner's copy as it stands in a learners' edition in the place of the lesson."""
    notebook = json.loads(copy)
    notebook["metadata"][_COPY] = True
    return _as_bytes(notebook)


def unmarked_copy(built: bytes) -> bytes | None:
    """Give the copy that a learners' edition has as its lesson; None for a whole lesson."""
    notebook = json.loads(built)
    return _as_bytes(notebook) if notebook["metadata"].pop(_COPY, False) else None


def _as_bytes(notebook: object) -> bytes:
    """Give a notebook as nbformat writes it."""
    text = json.dumps(notebook, ensure_ascii=False, indent=1, sort_keys=True)
    return (text + "\n").encode()
