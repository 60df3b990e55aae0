"""In the room: during class a teacher's screen shows who is ready, and where each is (ROOM.md)."""

from __future__ import annotations

from .join import join_room, leave_room

__all__ = ["join_room", "leave_room"]
