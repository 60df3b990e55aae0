"""A program that a trial of 600 s is not done with for minutes, on any computer."""

from __future__ import annotations

__all__ = ["ENDLESS"]

# A sum costs the board one call, about 50 us, and the computer as much; a look at the clock is no
# event.  What sleeps in short bits is stopped after a million of them: in 3 s where that is quick.
ENDLESS = "import time\nwhile True:\n    sum(range(3000))\n    time.ticks_us()\n"
