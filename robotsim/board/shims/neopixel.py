# The board's driver for chains of addressable lamps.

import _link


class NeoPixel:
    """A chain of n lamps on a pin; set colours, then write() sends them."""

    ORDER = (1, 0, 2, 3)  # green first on the wire

    def __init__(self, pin, n, bpp=3, timing=1):
        self.pin = pin
        self.n = n
        self.bpp = bpp
        if n * bpp > 30000:
            raise MemoryError("memory allocation failed, allocating %d bytes" % (n * bpp))
        self.buf = bytearray(n * bpp)
        pin.init(pin.OUT)
        self.timing = timing

    def __len__(self):
        return self.n

    def _offset(self, i):
        if i < 0:
            i += self.n
        if not 0 <= i < self.n:
            raise IndexError("bytearray index out of range")
        return i * self.bpp

    def __setitem__(self, i, v):
        offset = self._offset(i)
        for k in range(self.bpp):
            self.buf[offset + self.ORDER[k]] = _byte(v[k])

    def __getitem__(self, i):
        offset = self._offset(i)
        return tuple(self.buf[offset + self.ORDER[k]] for k in range(self.bpp))

    def fill(self, v):
        for k in range(self.bpp):
            value = _byte(v[k])
            for j in range(self.ORDER[k], len(self.buf), self.bpp):
                self.buf[j] = value

    def write(self):
        _link.tell("n %d %d %s" % (self.pin.number, 1 if self.timing else 0, _hex(self.buf)))


def _byte(value):
    # As on the board: only the lowest eight bits are kept, so 256 is dark again.
    return _link.whole(value) & 255


def _hex(data):
    return "".join("%02x" % byte for byte in data)
