"""A name that the lesson `harbour` takes from here."""

from __future__ import annotations

from .steering import wrong_sign

__all__ = ["wrong_sign"]
