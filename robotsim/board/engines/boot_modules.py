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
    import collections

    def namedtuple(name, fields):
        """Make a kind of tuple whose places have names."""
        made = collections.namedtuple(name, fields)
        made.__module__ = "builtins"
        return made

    return {"deque": _deque, "namedtuple": namedtuple}


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
    import boot_json

    def dumps(obj, separators=None, **more):
        """Give a value as a text in JSON."""
        if more:
            raise TypeError("extra keyword arguments given")
        return boot_json.dumps(obj, *(separators or ()))

    def dump(obj, stream, separators=None):
        """Write a value in JSON to a file."""
        stream.write(dumps(obj, separators))

    def load(stream):
        """Read a value from a file in JSON."""
        return boot_json.loads(stream.read())

    return {"loads": boot_json.loads, "dumps": dumps, "load": load, "dump": dump}


def _own_struct():
    import boot_binary

    return {name: getattr(boot_binary, name) for name in boot_binary.STRUCT}


def _own_array():
    from boot_binary import Array

    return {"array": Array}


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

    def __init__(self, iterable=None, maxlen=None, flags=0):
        if maxlen is None:
            raise TypeError("function missing %d required positional arguments"
                            % (1 + (iterable is None)))  # fmt: skip
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
