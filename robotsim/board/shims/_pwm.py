# Pulse trains.

import _link
from _pin import INPUT_ONLY, Pin, running

_int = _link.whole


class PWM:
    """A pulse train on a pin: `motor = PWM(Pin(25), freq=1000, duty_u16=20000)`."""

    def __init__(self, dest, freq=None, *, duty=None, duty_u16=None, duty_ns=None):
        if not isinstance(dest, Pin):
            dest = Pin(dest)
        if dest.number in INPUT_ONLY:
            raise ValueError("pin can only be input")
        self._pin = dest
        self._number = dest.number
        self.init(freq=freq, duty=duty, duty_u16=duty_u16, duty_ns=duty_ns)

    def init(self, freq=None, *, duty=None, duty_u16=None, duty_ns=None):
        """Set frequency in Hz and duty (0 to 1023, 0 to 65535, or pulse in ns) anew."""
        if (duty is None) + (duty_u16 is None) + (duty_ns is None) < 2:
            raise ValueError("only one of parameters 'duty', 'duty_u16' or 'duty_ns' is allowed")
        if freq is None:
            freq = running.get(self._number, 5000)
        freq = _int(freq)
        scale, value = "-", "-"
        if duty_u16 is not None:
            scale, value = "u16", str(_check(duty_u16, 65535, "duty_u16"))
        elif duty_ns is not None:
            scale, value = "ns", str(_check_ns(duty_ns, freq))
        elif duty is not None:
            scale, value = "10", str(_check(duty, 1023, "duty"))
        _link.ask("P %d %d %s %s" % (self._number, freq, scale, value))
        running[self._number] = freq

    def _frequency(self):
        # Taken off, or the pin set up for something else.
        if self._number not in running:
            raise RuntimeError("PWM is inactive")
        return running[self._number]

    def freq(self, value=None):
        """Give the frequency in Hz, or set it."""
        self._frequency()
        if value is None:
            return int(_link.ask("Q %d freq" % self._number))
        value = _int(value)
        _link.ask("P %d %d - -" % (self._number, value))
        running[self._number] = value

    def duty(self, value=None):
        """Give the duty on the scale from 0 to 1023, or set it."""
        self._frequency()
        if value is None:
            return int(_link.ask("Q %d 10" % self._number))
        _link.tell("e %d %d" % (self._number, _check(value, 1023, "duty")))

    def duty_u16(self, value=None):
        """Give the duty on the scale from 0 to 65535, or set it."""
        self._frequency()
        if value is None:
            return int(_link.ask("Q %d u16" % self._number))
        _link.tell("d %d %d" % (self._number, _check(value, 65535, "duty_u16")))

    def duty_ns(self, value=None):
        """Give the length of a pulse in nanoseconds, or set it."""
        freq = self._frequency()
        if value is None:
            return int(_link.ask("Q %d ns" % self._number))
        _link.tell("g %d %d" % (self._number, _check_ns(value, freq)))

    def deinit(self):
        """Take the pulse train off the pin."""
        running.pop(self._number, None)
        _link.tell("p %d" % self._number)

    def __repr__(self):
        return "PWM(Pin(%d))" % self._number


def _check(value, top, name):
    value = _int(value)
    if not 0 <= value <= top:
        raise ValueError("%s must be from 0 to %d" % (name, top))
    return value


def _check_ns(value, freq):
    value, top = _int(value), 1000000000 // max(freq, 1)
    if not 0 <= value <= top:
        raise ValueError("duty_ns must be from 0 to %d ns" % top)
    return value
