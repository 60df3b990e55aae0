"""What each operation of the board takes in simulated time.

*Source*: the sizes that a 32-bit Wi-Fi microcontroller under MicroPython
shows (common practice, no source), except the console: 115200 baud with ten
bits a character, the usual setting of such boards (MicroPython quick
reference, read).  Every operation takes some time, so a loop that does
anything with its board moves the clock.  What the program computes in
between is reckoned by `computing`.
"""

from __future__ import annotations

from ..units import MS, SECOND, US

__all__ = [
    "ADC",
    "CALL",
    "CHARACTER",
    "DUTY",
    "FILE",
    "FILE_BYTE",
    "NOTICE",
    "PIN",
    "SETUP",
    "TICKS",
    "frame",
    "transfer",
]

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
FILE = 10 * MS
"""Change the directory of the flash: remove, rename, or bring a file's end up to date (invented:
what a log line costs on such boards, where a page must be written and now and then erased)."""
FILE_BYTE = 5 * US
"""Write one byte to the flash (invented: 200 kB/s)."""
_BIT = (2_500, 1_250)
_LATCH = 50 * US


def frame(count: int, timing: int) -> int:
    """Give the time in ns of a frame to the lamps: its bits, and the pause that ends it.

    *Source*: WS2812B data sheet: 1.25 us a bit, latch 50 us (transcription); at 400 kHz
    half as fast.

    Args:
        count: Bytes of the frame.
        timing: 0 for 400 kHz, 1 for 800 kHz.
    """
    return 8 * count * _BIT[timing] + _LATCH


def transfer(written: int, read: int, freq_hz: int) -> int:
    """Give the time in ns of a transfer on the I2C bus.

    *Source*: start, address and acknowledge, nine bits a byte, stop; before reading, a second
    start and address (NXP UM10204, from memory).

    Args:
        written: Bytes written.
        read: Bytes read.
        freq_hz: Clock of the bus.
    """
    bits = 2 + 9 * (1 + written) + (10 + 9 * read if read else 0)
    return bits * SECOND // freq_hz + PIN
