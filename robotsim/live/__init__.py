"""Live: a tug at real time, steered by a real broker, a pad, or both."""

from __future__ import annotations

from .desk import Live, live

__all__ = ["Live", "live"]
