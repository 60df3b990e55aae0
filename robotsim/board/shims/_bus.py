# The I2C bus.

import _link
from _pin import INPUT_ONLY, Pin

_WIRES = {0: (18, 19), 1: (25, 26)}  # SCL and SDA where a program names none


class I2C:
    """A bus with two wires: this board speaks, devices at addresses answer.

    `bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)`, `bus.readfrom_mem(0x68, 0x75, 1)`.
    """

    def __init__(self, id=0, *, scl=None, sda=None, freq=400000, timeout=50000):
        if id not in _WIRES:
            raise ValueError("I2C(%s) doesn't exist" % id)
        self._set_up(_WIRES[id][0] if scl is None else scl, _WIRES[id][1] if sda is None else sda)
        self._set_freq(freq)

    def init(self, *, scl=None, sda=None, freq=400000):
        """Set the bus up anew."""
        self._set_up(self._scl if scl is None else scl, self._sda if sda is None else sda)
        self._set_freq(freq)

    def _set_up(self, scl, sda):
        self._scl, self._sda = Pin(scl).number, Pin(sda).number
        if self._scl in INPUT_ONLY or self._sda in INPUT_ONLY:
            raise ValueError("pin can only be input")

    def _set_freq(self, freq):
        self._freq = _link.whole(freq)
        if not 1 <= self._freq <= 1000000:
            raise ValueError("invalid freq")

    def _transfer(self, addr, written, count):
        addr, count = _link.whole(addr), _link.whole(count)
        if not 0 <= addr <= 127:
            raise ValueError("invalid address")
        size = max(len(written), count)
        if size > 30000:
            raise MemoryError("memory allocation failed, allocating %d bytes" % size)
        if count < 0:
            raise ValueError("negative count")
        sent = "".join("%02x" % byte for byte in written)
        message = "X %d %d %d %d %s %d"
        answer = _link.ask(message % (self._scl, self._sda, addr, self._freq, sent or "-", count))
        return bytes(int(answer[k : k + 2], 16) for k in range(0, len(answer), 2))

    def scan(self):
        """Give the addresses at which a device answers."""
        found = []
        for addr in range(8, 120):
            try:
                self._transfer(addr, b"", 0)
                found.append(addr)
            except OSError:
                pass
        return found

    # A device keeps its place after `stop=False` and after a stop alike, so the flag changes
    # nothing that a program of these parts could tell.

    def readfrom(self, addr, nbytes, stop=True):
        """Read bytes from a device."""
        return self._transfer(addr, b"", nbytes)

    def readfrom_into(self, addr, buf, stop=True):
        """Read as many bytes as fit into a buffer."""
        buf[:] = self._transfer(addr, b"", len(buf))

    def writeto(self, addr, buf, stop=True):
        """Write bytes to a device, and give how many."""
        data = _link.buffer(buf)
        self._transfer(addr, data, 0)
        return len(data)

    def writevto(self, addr, vector, stop=True):
        """Write some buffers one after the other."""
        return self.writeto(addr, b"".join([_link.buffer(part) for part in vector]), stop)

    def _register(self, memaddr, addrsize):
        memaddr = _link.whole(memaddr)
        if addrsize not in (8, 16, 24, 32):
            raise ValueError("invalid addrsize")
        return bytes((memaddr >> shift) & 255 for shift in range(addrsize - 8, -1, -8))

    def readfrom_mem(self, addr, memaddr, nbytes, *, addrsize=8):
        """Read bytes from a device, beginning at one of its registers."""
        return self._transfer(addr, self._register(memaddr, addrsize), nbytes)

    def readfrom_mem_into(self, addr, memaddr, buf, *, addrsize=8):
        """Read from a register on, as many bytes as fit into a buffer."""
        buf[:] = self.readfrom_mem(addr, memaddr, len(buf), addrsize=addrsize)

    def writeto_mem(self, addr, memaddr, buf, *, addrsize=8):
        """Write bytes to a device, beginning at one of its registers."""
        self._transfer(addr, self._register(memaddr, addrsize) + _link.buffer(buf), 0)

    def __repr__(self):
        text = "%s(scl=%d, sda=%d, freq=%d)"
        return text % (type(self).__name__, self._scl, self._sda, self._freq)


class SoftI2C(I2C):
    """The same bus, its wires driven by the program's side of the board."""

    def __init__(self, scl, sda, *, freq=400000, timeout=50000):
        self._set_up(scl, sda)
        self._set_freq(freq)
