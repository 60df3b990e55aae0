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


def ticks_ms():
    """Give a counter of milliseconds that wraps around; compare with ticks_diff."""
    return (_link.now_us() // 1000) & (_PERIOD - 1)


def ticks_us():
    """Give a counter of microseconds that wraps around; compare with ticks_diff."""
    return _link.now_us() & (_PERIOD - 1)


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
    """Give whole seconds since 2000-01-01; without a network the clock begins there."""
    return _link.now_us() // 1000000


def time_ns():
    """Give nanoseconds since 2000-01-01; without a network the clock begins there."""
    return _link.now_us() * 1000


def _is_leap(year):
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def _days(month, year):
    return 28 + _is_leap(year) if month == 2 else 30 + (month + month // 8) % 2


def gmtime(secs=None):
    """Give (year, month, day, hour, minute, second, weekday from Monday = 0, day of the year)."""
    secs = time() if secs is None else int(secs)
    days, rest = secs // 86400, secs % 86400
    weekday = (days + 5) % 7  # 2000-01-01 was a Saturday
    year = 2000
    while days < 0:
        year -= 1
        days += 365 + _is_leap(year)
    while days >= 365 + _is_leap(year):
        days -= 365 + _is_leap(year)
        year += 1
    yearday, month = days + 1, 1
    while days >= _days(month, year):
        days -= _days(month, year)
        month += 1
    return year, month, days + 1, rest // 3600, rest // 60 % 60, rest % 60, weekday, yearday


localtime = gmtime  # such a board knows no time zones


def mktime(local):
    """Give the seconds since 2000-01-01 of a time as localtime gives it."""
    year, month, day, hour, minute, second = local[:6]
    year, month = year + (month - 1) // 12, (month - 1) % 12 + 1
    days = day - 1
    for earlier in range(1, month):
        days += _days(earlier, year)
    for earlier in range(2000, year):
        days += 365 + _is_leap(earlier)
    for later in range(year, 2000):
        days -= 365 + _is_leap(later)
    return ((days * 24 + hour) * 60 + minute) * 60 + second
