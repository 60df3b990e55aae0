"""The board's standard modules, made of this computer's: with the names that the board has.

Each is a module of its own, so that a program that asks for more meets the board's own
AttributeError or ImportError; where the two behave differently, the board's way is put in.
"""

import sys
from types import ModuleType

from offered import NAMES

__all__ = ["restricted"]


def restricted(name):
    """Give the board's module of a name."""
    module = ModuleType(name)
    real = __import__(name)
    for each in NAMES[name].split():
        setattr(module, each, getattr(real, each))
    for each, value in globals().get("_own_" + name, dict)().items():
        setattr(module, each, value)
    return module


def _own_binascii():
    import binascii

    def unhexlify(data):
        """Give the bytes of a text in hexadecimal."""
        try:
            return binascii.unhexlify(data)
        except binascii.Error as fault:
            odd = "odd" in str(fault).lower()
            raise ValueError("odd-length string" if odd else "non-hex digit") from None

    return {"unhexlify": unhexlify}


def _own_collections():
    return {"deque": _deque}


def _own_errno():
    import errno

    known = NAMES["errno"].split()[:-1]
    return {"errorcode": {getattr(errno, name): name for name in known}}


def _own_math():
    import math

    def exp(x):
        """Give e to the power of x."""
        try:
            return math.exp(x)
        except OverflowError:
            raise ValueError("math domain error") from None

    return {"exp": exp}


def _own_json():
    import json

    def loads(s):
        """Read a value from a text in JSON."""
        if not isinstance(s, (str, bytes, bytearray)):
            raise TypeError("object with buffer protocol required")
        try:
            return json.loads(s)
        except ValueError:
            raise ValueError("syntax error in JSON") from None

    def dumps(obj, separators=None, **more):
        """Give a value as a text in JSON."""
        if more:
            raise TypeError("extra keyword arguments given")
        from boot_text import dumps

        return dumps(obj, *(separators or ()))

    def dump(obj, stream, separators=None):
        """Write a value in JSON to a file."""
        stream.write(dumps(obj, separators))

    return {
        "loads": loads,
        "dumps": dumps,
        "load": lambda stream: loads(stream.read()),
        "dump": lambda obj, stream, separators=None: (stream.write(dumps(obj, separators)), None)[
            1
        ],
    }


def _own_struct():
    import struct

    def boardly(function):
        def call(fmt, *values):
            if "?" in fmt:
                raise ValueError("bad typecode")
            try:
                return function(fmt, *values)
            except struct.error as fault:
                raise _struct_error(str(fault), values) from None

        return call

    return {n: boardly(getattr(struct, n)) for n in ("pack", "pack_into", "unpack", "unpack_from")}


def _struct_error(text, values):
    if "bad char" in text:
        return ValueError("bad typecode")
    if "buffer" in text:
        return ValueError("buffer too small")
    if "not an integer" in text or "must be real number" in text:
        wrong = [v for v in values if not isinstance(v, (int, bytes, bytearray, memoryview))]
        kind = "int" if "integer" in text else "float"
        return TypeError("can't convert %s to %s" % (type((wrong or [None])[0]).__name__, kind))
    return ValueError(text)


def _own_sys():
    from collections import namedtuple

    kind = namedtuple("Implementation", ("name", "version"))
    return {
        "argv": [],
        "path": ["", ".frozen", "/lib"],
        "platform": "esp32",
        "maxsize": 0x7FFFFFFF,
        "version": "3.4.0; MicroPython v1.29.0 (simulated)",
        "version_info": (3, 4, 0),
        "implementation": kind("micropython", (1, 29, 0, "")),
        "print_exception": sys.print_exception,
    }


class _deque:
    """A queue with a greatest length: `deque((), 10)`."""

    def __init__(self, iterable, maxlen, flags=0):
        if maxlen < 0:
            raise ValueError
        self._items, self._maxlen, self._strict = [], maxlen, flags & 1
        for item in iterable:
            self.append(item)

    def append(self, x):
        if len(self._items) >= self._maxlen:
            if self._strict:
                raise IndexError("full")
            del self._items[:1]
        self._items.append(x)

    def appendleft(self, x):
        if len(self._items) >= self._maxlen:
            if self._strict:
                raise IndexError("full")
            del self._items[-1:]
        self._items.insert(0, x)

    def popleft(self):
        if not self._items:
            raise IndexError("empty")
        return self._items.pop(0)

    def pop(self):
        if not self._items:
            raise IndexError("empty")
        return self._items.pop()

    def extend(self, iterable):
        for item in iterable:
            self.append(item)

    def __len__(self):
        return len(self._items)

    def __iter__(self):
        return iter(list(self._items))

    def __getitem__(self, index):
        return self._items[index]

    def __setitem__(self, index, value):
        self._items[index] = value


_deque.__name__ = _deque.__qualname__ = "deque"
