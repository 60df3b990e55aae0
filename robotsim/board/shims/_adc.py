# Analogue inputs.

import _link
from _pin import Pin


class ADC:
    """An analogue input: `eye = ADC(Pin(36), atten=ADC.ATTN_11DB)`, `eye.read_u16()`."""

    ATTN_0DB = 0
    ATTN_2_5DB = 1
    ATTN_6DB = 2
    ATTN_11DB = 3
    WIDTH_9BIT = 9
    WIDTH_10BIT = 10
    WIDTH_11BIT = 11
    WIDTH_12BIT = 12

    _PINS = frozenset((0, 2, 4, 12, 13, 14, 15, 25, 26, 27, 32, 33, 34, 35, 36, 37, 38, 39))

    def __init__(self, id, *, atten=None):
        number = Pin(id).number
        if number not in self._PINS:
            raise ValueError("invalid pin")
        self._number = number
        self._shift = 0
        self.atten(self.ATTN_0DB if atten is None else atten)

    def init(self, *, atten=None):
        """Set the attenuation anew."""
        if atten is not None:
            self.atten(atten)

    def atten(self, atten):
        """Set the range: ADC.ATTN_0DB for up to 0.95 V, ADC.ATTN_11DB for up to 3.1 V."""
        if not isinstance(atten, int) or not 0 <= atten <= 3:
            raise ValueError("invalid atten")
        _link.tell("a %d %d" % (self._number, atten))

    def width(self, bits):
        """Set how many bits read() gives, 9 to 12."""
        if not isinstance(bits, int) or not 9 <= bits <= 12:
            raise ValueError("invalid width")
        self._shift = 12 - bits

    def read(self):
        """Sample the pin: 0 to 4095, or less with a smaller width."""
        return _link.sample(self._number) >> self._shift

    def read_u16(self):
        """Sample the pin: 0 to 65535."""
        raw = _link.sample(self._number)
        return raw << 4 | raw >> 8

    def read_uv(self):
        """Sample the pin: microvolts."""
        return int(_link.ask("U %d" % self._number))

    def __repr__(self):  # as in this family's source (read)
        return "ADC(Pin(%d))" % self._number
