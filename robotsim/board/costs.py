"""What each operation of the board takes in simulated time.

*Source*: the sizes that a 32-bit Wi-Fi microcontroller under MicroPython
shows (common practice, no source), except the console: 115200 baud with ten
bits a character, the usual setting of such boards (MicroPython quick
reference, read).  Every operation takes some time, so a loop that does
anything with its board moves the clock.  What the interpreter computes in
between takes none: that differs from board to board and from version to
version, and no program should rest on it.
"""

from __future__ import annotations

from ..units import SECOND, US

__all__ = ["ADC", "CALL", "CHARACTER", "DUTY", "NOTICE", "PIN", "SETUP", "TICKS"]

PIN = 4 * US
"""Set or read a digital pin."""
SETUP = 50 * US
"""Set up a pin, a PWM, a timer."""
DUTY = 15 * US
"""Change a duty."""
ADC = 60 * US
"""Convert one analogue sample."""
TICKS = 6 * US
"""Look at the clock."""
CALL = 20 * US
"""Start a callback."""
NOTICE = 1 * US
"""Look whether a callback is due, or anything else that is nearly nothing: no message may be
free, or a program could send it for ever while the clock stands still."""
CHARACTER = 10 * SECOND // 115_200
"""Send one character to the console."""
