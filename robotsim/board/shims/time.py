# The board's time: simulated, moved by the host only.

import _link

_PERIOD = 1 << 30
_HALF = 1 << 29


def sleep(seconds):
    """Wait for a time in seconds; fractions are allowed."""
    if not isinstance(seconds, (int, float)):
        raise TypeError("can't convert %s to float" % type(seconds).__name__)
    _link.sleep_us(int(seconds * 1000000))


def sleep_ms(ms):
    """Wait for a number of milliseconds."""
    _link.sleep_us(_link.whole(ms) * 1000)


def sleep_us(us):
    """Wait for a number of microseconds."""
    _link.sleep_us(_link.whole(us))


def _now_us():
    return int(_link.ask("T"))


def ticks_ms():
    """Give a counter of milliseconds that wraps around; compare with ticks_diff."""
    return (_now_us() // 1000) & (_PERIOD - 1)


def ticks_us():
    """Give a counter of microseconds that wraps around; compare with ticks_diff."""
    return _now_us() & (_PERIOD - 1)


def ticks_cpu():
    """Give the finest counter that the board has."""
    return ticks_us()


def ticks_add(ticks, delta):
    """Give a counter value moved by delta."""
    return (ticks + delta) & (_PERIOD - 1)


def ticks_diff(end, start):
    """Give end - start of two counter values, right across a wrap-around."""
    return ((end - start + _HALF) & (_PERIOD - 1)) - _HALF


def time():
    """Give whole seconds since the board's epoch (the clock of a board without network)."""
    return _now_us() // 1000000


def time_ns():
    """Give nanoseconds since the board's epoch."""
    return _now_us() * 1000
