# Pins, and signals that may be upside down.

import _link

_NUMBERS = frozenset(list(range(0, 6)) + list(range(12, 24)) + [25, 26, 27] + list(range(32, 40)))
INPUT_ONLY = frozenset((34, 35, 36, 37, 38, 39))
running = {}  # number of a pin with a pulse train to its frequency in Hz
_AS_IT_IS = object()


class Pin:
    """A pin of the board: `led = Pin(2, Pin.OUT)`, `led.on()`, `led.value()`."""

    IN = 1
    OUT = 3
    OPEN_DRAIN = 7
    PULL_DOWN = 1
    PULL_UP = 2
    IRQ_RISING = 1
    IRQ_FALLING = 2

    _all = {}

    # One object a pin, as on the board: Pin(13) is Pin(13).
    def __new__(cls, id, *args, **kwargs):
        if isinstance(id, Pin):
            id = id.number
        if isinstance(id, bool) or not isinstance(id, int) or id not in _NUMBERS:
            raise ValueError("invalid pin")
        pin = cls._all.get(id)
        if pin is None:
            pin = cls._all[id] = object.__new__(cls)
            pin.number = id
            pin._mode = None
            pin._irq = None
        return pin

    def __init__(self, id, mode=-1, pull=-1, *, value=None):
        if mode != -1 or pull != -1 or value is not None:
            self.init(mode, pull, value=value)

    def init(self, mode=-1, pull=-1, *, value=None):
        """Set the pin up: Pin.IN or Pin.OUT, a pull, and the level to begin with."""
        if mode != -1 and mode is not None:
            if mode not in (Pin.IN, Pin.OUT, Pin.OPEN_DRAIN):
                raise ValueError("invalid pin mode")
            if mode != Pin.IN and self.number in INPUT_ONLY:
                raise ValueError("pin can only be input")
            self._mode = mode
            running.pop(self.number, None)
            name = "in" if mode == Pin.IN else "out"
            pulls = {Pin.PULL_UP: "up", Pin.PULL_DOWN: "down"}
            _link.tell("m %d %s %s" % (self.number, name, pulls.get(pull, "")))
        if value is not None:
            self.value(value)

    def value(self, x=None):
        """Give the level, 0 or 1; or put a level out."""
        if x is None:
            return int(_link.ask("I %d" % self.number))
        if self.number in INPUT_ONLY:
            raise ValueError("pin can only be input")
        # A pin that is not an output takes the level but puts nothing out.
        if self._mode in (Pin.OUT, Pin.OPEN_DRAIN):
            _link.tell("o %d %d" % (self.number, 1 if x else 0))

    def __call__(self, x=None):
        return self.value(x)

    def on(self):
        """Put out 1."""
        self.value(1)

    def off(self):
        """Put out 0."""
        self.value(0)

    def toggle(self):
        """Put out the other level."""
        self.value(1 - self.value())

    def irq(self, handler=_AS_IT_IS, trigger=3):
        """Call handler(pin) when the level rises (Pin.IRQ_RISING), falls, or either."""
        if self._irq is None:
            self._irq = IRQ(self)
        if handler is not _AS_IT_IS:
            self._irq._set(handler, trigger)
        return self._irq

    def __repr__(self):
        return "Pin(%d)" % self.number

    __str__ = __repr__


class IRQ:
    """What Pin.irq gives: the trigger can be read and changed, and calling it calls the handler."""

    def __init__(self, pin):
        self._pin = pin
        self._handler = None
        self._trigger = 0

    def _set(self, handler, trigger):
        trigger = _link.whole(trigger)
        if handler is None:
            trigger = 0
        elif not callable(handler):
            raise TypeError("'%s' object isn't callable" % type(handler).__name__)
        elif not 1 <= trigger <= 3:
            raise ValueError("invalid trigger")
        self._handler, self._trigger = handler, trigger
        if trigger:
            _link.arm("pin", self._pin.number, self)
        else:
            _link.disarm("pin", self._pin.number)
        _link.tell("i %d %d" % (self._pin.number, trigger))

    def __call__(self):
        if self._handler is not None:
            self._handler(self._pin)

    def trigger(self, trigger=None):
        """Give the trigger; or give the old one and set another."""
        before = self._trigger
        if trigger is not None:
            self._set(self._handler, trigger)
        return before


class Signal:
    """A pin by its meaning: with invert=True, on() puts out 0 (a lamp or switch to ground)."""

    def __init__(self, pin_obj, mode=-1, pull=-1, *, value=None, invert=False):
        if not hasattr(pin_obj, "value"):
            pin_obj = Pin(pin_obj, mode, pull, value=value)
        self._pin = pin_obj
        self._invert = bool(invert)

    def value(self, x=None):
        """Give whether the signal is active, 0 or 1; or make it so."""
        if x is None:
            return self._pin.value() ^ self._invert
        self._pin.value(int(bool(x)) ^ self._invert)

    def __call__(self, x=None):
        return self.value(x)

    def on(self):
        """Make the signal active."""
        self.value(1)

    def off(self):
        """Make the signal inactive."""
        self.value(0)
