# The board's machine module: pins, PWM, timers.

import _link

_NUMBERS = frozenset(list(range(0, 6)) + list(range(12, 24)) + [25, 26, 27] + list(range(32, 40)))
_INPUT_ONLY = frozenset((34, 35, 36, 37, 38, 39))


_int = _link.whole


class Pin:
    """A pin of the board."""

    IN = 1
    OUT = 3
    OPEN_DRAIN = 7
    PULL_DOWN = 1
    PULL_UP = 2
    IRQ_RISING = 1
    IRQ_FALLING = 2

    _all = {}

    # One object a pin, as on the board: Pin(13) is Pin(13).
    def __new__(cls, number, *args, **kwargs):
        if isinstance(number, Pin):
            number = number.number
        if isinstance(number, bool) or not isinstance(number, int) or number not in _NUMBERS:
            raise ValueError("invalid pin")
        pin = cls._all.get(number)
        if pin is None:
            pin = cls._all[number] = object.__new__(cls)
            pin.number = number
            pin._mode = None
        return pin

    def __init__(self, number, mode=-1, pull=-1, value=None):
        if mode != -1 or pull != -1 or value is not None:
            self.init(mode, pull, value)

    def init(self, mode=-1, pull=-1, value=None):
        if mode != -1 and mode is not None:
            if mode not in (Pin.IN, Pin.OUT, Pin.OPEN_DRAIN):
                raise ValueError("invalid pin mode")
            if mode != Pin.IN and self.number in _INPUT_ONLY:
                raise ValueError("pin can only be input")
            self._mode = mode
            PWM._running.pop(self.number, None)
            name = "in" if mode == Pin.IN else "out"
            pulls = {Pin.PULL_UP: "up", Pin.PULL_DOWN: "down"}
            _link.tell("m %d %s %s" % (self.number, name, pulls.get(pull, "")))
        if value is not None:
            self.value(value)

    def value(self, x=None):
        if x is None:
            return int(_link.ask("I %d" % self.number))
        if self.number in _INPUT_ONLY:
            raise ValueError("pin can only be input")
        # A pin that is not an output takes the level but puts nothing out.
        if self._mode in (Pin.OUT, Pin.OPEN_DRAIN):
            _link.tell("o %d %d" % (self.number, 1 if x else 0))

    def __call__(self, x=None):
        return self.value(x)

    def on(self):
        self.value(1)

    def off(self):
        self.value(0)

    def toggle(self):
        self.value(1 - self.value())

    def __repr__(self):
        return "Pin(%d)" % self.number

    __str__ = __repr__


class PWM:
    """A pulse train on a pin: a frequency and a duty."""

    _running = {}  # pin number to frequency in Hz

    def __init__(self, dest, freq=None, duty=None, duty_u16=None, duty_ns=None):
        if not isinstance(dest, Pin):
            dest = Pin(dest)
        if dest.number in _INPUT_ONLY:
            raise ValueError("pin can only be input")
        self._pin = dest
        self._number = dest.number
        self.init(freq, duty, duty_u16, duty_ns)

    def init(self, freq=None, duty=None, duty_u16=None, duty_ns=None):
        if (duty is None) + (duty_u16 is None) + (duty_ns is None) < 2:
            raise ValueError("only one of parameters 'duty', 'duty_u16' or 'duty_ns' is allowed")
        if freq is None:
            freq = self._running.get(self._number, 5000)
        freq = _int(freq)
        scale, value = "-", "-"
        if duty_u16 is not None:
            scale, value = "u16", str(_check(duty_u16, 65535, "duty_u16"))
        elif duty_ns is not None:
            scale, value = "ns", str(_check_ns(duty_ns, freq))
        elif duty is not None:
            scale, value = "10", str(_check(duty, 1023, "duty"))
        _link.ask("P %d %d %s %s" % (self._number, freq, scale, value))
        self._running[self._number] = freq

    def _frequency(self):
        # Taken off, or the pin set up for something else.
        if self._number not in self._running:
            raise RuntimeError("PWM is inactive")
        return self._running[self._number]

    def freq(self, value=None):
        self._frequency()
        if value is None:
            return int(_link.ask("Q %d freq" % self._number))
        value = _int(value)
        _link.ask("P %d %d - -" % (self._number, value))
        self._running[self._number] = value

    def duty(self, value=None):
        self._frequency()
        if value is None:
            return int(_link.ask("Q %d 10" % self._number))
        _link.tell("e %d %d" % (self._number, _check(value, 1023, "duty")))

    def duty_u16(self, value=None):
        self._frequency()
        if value is None:
            return int(_link.ask("Q %d u16" % self._number))
        _link.tell("d %d %d" % (self._number, _check(value, 65535, "duty_u16")))

    def duty_ns(self, value=None):
        freq = self._frequency()
        if value is None:
            return int(_link.ask("Q %d ns" % self._number))
        _link.tell("g %d %d" % (self._number, _check_ns(value, freq)))

    def deinit(self):
        self._running.pop(self._number, None)
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


class Timer:
    """One of the board's four timers; its callback runs between the program's own steps."""

    ONE_SHOT = 0
    PERIODIC = 1

    def __init__(self, id, mode=PERIODIC, freq=-1, period=-1, callback=None):
        if not isinstance(id, int) or not 0 <= id <= 3:
            raise ValueError("invalid Timer number")
        self._id = id
        if callback is not None or period != -1 or freq != -1:
            self.init(mode=mode, freq=freq, period=period, callback=callback)

    def init(self, mode=PERIODIC, freq=-1, period=-1, callback=None):
        us = int(1000000 / freq) if freq > 0 else _int(period) * 1000
        if us <= 0:
            raise ValueError("period must be positive")
        if callback is None:
            self.deinit()
            return
        one_shot = mode == Timer.ONE_SHOT

        def run():
            if one_shot:
                _link.disarm("timer", self._id)
            callback(self)

        _link.arm("timer", self._id, run)
        _link.ask("J %d %d %d" % (self._id, us, 0 if one_shot else 1))

    def deinit(self):
        _link.disarm("timer", self._id)
        _link.tell("j %d" % self._id)


class ADC:
    """An analogue input."""

    ATTN_0DB = 0
    ATTN_2_5DB = 1
    ATTN_6DB = 2
    ATTN_11DB = 3
    WIDTH_9BIT = 9
    WIDTH_10BIT = 10
    WIDTH_11BIT = 11
    WIDTH_12BIT = 12

    _PINS = frozenset((0, 2, 4, 12, 13, 14, 15, 25, 26, 27, 32, 33, 34, 35, 36, 37, 38, 39))

    def __init__(self, dest, atten=None):
        if not isinstance(dest, Pin):
            dest = Pin(dest)
        if dest.number not in self._PINS:
            raise ValueError("invalid pin")
        self._number = dest.number
        self._shift = 0
        self.atten(self.ATTN_0DB if atten is None else atten)

    def init(self, atten=None):
        if atten is not None:
            self.atten(atten)

    def atten(self, value):
        if not isinstance(value, int) or not 0 <= value <= 3:
            raise ValueError("invalid atten")
        _link.tell("a %d %d" % (self._number, value))

    def width(self, bits):
        if not isinstance(bits, int) or not 9 <= bits <= 12:
            raise ValueError("invalid width")
        self._shift = 12 - bits

    def read(self):
        return _link.sample(self._number) >> self._shift

    def read_u16(self):
        raw = _link.sample(self._number)
        return raw << 4 | raw >> 8

    def read_uv(self):
        return int(_link.ask("U %d" % self._number))


class I2C:
    """A bus with two wires: this board speaks, devices at addresses answer."""

    def __init__(self, id=0, scl=None, sda=None, freq=400000, timeout=50000):
        if id not in (-1, 0, 1):
            raise ValueError("I2C(%s) doesn't exist" % id)
        self._scl = Pin(18 if scl is None else scl).number
        self._sda = Pin(19 if sda is None else sda).number
        self._freq = _int(freq)
        if not 1 <= self._freq <= 1000000:
            raise ValueError("invalid freq")

    def _transfer(self, addr, written, count):
        if not 0 <= addr <= 127:
            raise ValueError("invalid address")
        size = max(len(written), count)
        if size > 30000:
            raise MemoryError("memory allocation failed, allocating %d bytes" % size)
        sent = "".join("%02x" % byte for byte in written)
        message = "X %d %d %d %d %s %d"
        answer = _link.ask(message % (self._scl, self._sda, addr, self._freq, sent or "-", count))
        return bytes(int(answer[k : k + 2], 16) for k in range(0, len(answer), 2))

    def scan(self):
        found = []
        for addr in range(8, 120):
            try:
                self._transfer(addr, b"", 0)
                found.append(addr)
            except OSError:
                pass
        return found

    def readfrom(self, addr, nbytes, stop=True):
        return self._transfer(addr, b"", nbytes)

    def readfrom_into(self, addr, buf, stop=True):
        buf[:] = self._transfer(addr, b"", len(buf))

    def writeto(self, addr, buf, stop=True):
        self._transfer(addr, buf, 0)
        return len(buf)

    def writevto(self, addr, vector, stop=True):
        return self.writeto(addr, b"".join(bytes(part) for part in vector), stop)

    def _register(self, memaddr, addrsize):
        return bytes((memaddr >> shift) & 255 for shift in range(addrsize - 8, -1, -8))

    def readfrom_mem(self, addr, memaddr, nbytes, addrsize=8):
        return self._transfer(addr, self._register(memaddr, addrsize), nbytes)

    def readfrom_mem_into(self, addr, memaddr, buf, addrsize=8):
        buf[:] = self.readfrom_mem(addr, memaddr, len(buf), addrsize=addrsize)

    def writeto_mem(self, addr, memaddr, buf, addrsize=8):
        self._transfer(addr, self._register(memaddr, addrsize) + bytes(buf), 0)

    def deinit(self):
        pass


class SoftI2C(I2C):
    """The same bus, its wires driven by the program's side of the board."""

    def __init__(self, scl, sda, freq=400000, timeout=50000):
        I2C.__init__(self, 0, scl, sda, freq, timeout)


def unique_id():
    """Give the board's own number as six bytes."""
    return bytes(int(_link.ask("N")[k : k + 2], 16) for k in range(0, 12, 2))


def reset():
    """Start the board anew, as its reset button does."""
    _link.ask("R")
