"""Twin: what one real tug is like, by its `tug.json`, and the simulated tug that is like it."""

from __future__ import annotations

from .tug_file import pins_of, read_tug

__all__ = ["pins_of", "read_tug"]
