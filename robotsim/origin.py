"""Origin: whose a program is, which decides how it may be run.

Whatever runs a program is told whose it is, all the way down to what starts its process.  Who
says nothing is taken to mean a stranger's: forgetting the word confines a program, and never
lets one out.
"""

from __future__ import annotations

import enum

__all__ = ["Whose"]


class Whose(enum.Enum):
    """Whose a program is."""

    OWN = "own"
    """This person's own: it was written here, at this computer.  It need not be confined."""
    KIT = "kit"
    """The kit's: its text stands in the kit's own code."""
    STRANGER = "stranger"
    """Somebody else's: handed in, sent, or found in a file.  It is run confined or not at all."""

    @property
    def confined(self) -> bool:
        """Whether it may only run confined."""
        return self is Whose.STRANGER
