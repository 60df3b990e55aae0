"""Numbers as bytes: `struct` and `array`, which on the board never say that a number is too large.

What does not fit loses its upper bits there, without a word.
"""

import array
import re
import struct

from boot_values import Missing

__all__ = ["STRUCT", "Array", "pack", "pack_into", "unpack", "unpack_from"]

STRUCT = ("pack", "pack_into", "unpack", "unpack_from")
_SIGNED, _WHOLE = "bhilq", "bBhHiIlLqQ"


def _wrapped(code, value, size):
    """Give a whole number as one that a field of so many bytes can hold."""
    if not isinstance(value, int) or code not in _WHOLE:
        return value
    value &= (1 << 8 * size) - 1
    return value - (1 << 8 * size) if code in _SIGNED and value >> 8 * size - 1 else value


def _fields(fmt):
    """Give the fields of a format that take a value: code and size of each."""
    order = fmt[:1] if fmt[:1] in tuple("@=<>!") else ""
    for count, code in re.findall(r"(\d*)([a-zA-Z])", fmt):
        if code == "s":
            yield code, 0
        elif code != "x":
            yield from [(code, struct.calcsize(order + code))] * int(count or 1)


def _checked(fmt):
    if "?" in fmt:
        raise ValueError("bad typecode")
    try:
        return struct.calcsize(fmt)
    except struct.error:
        raise ValueError("bad typecode") from None


def _packed(fmt, values):
    try:
        return struct.pack(fmt, *values)
    except struct.error:
        pass
    fields = list(_fields(fmt))
    fitting = [_wrapped(c, v, n) for (c, n), v in zip(fields, values, strict=False)]
    fitting += [b"" if code == "s" else 0 for code, _ in fields[len(values) :]]
    try:
        return struct.pack(fmt, *fitting)
    except struct.error as fault:
        raise _struct_error(str(fault), values) from None


def _struct_error(told, values):
    if "not an integer" in told or "must be real number" in told or "not a float" in told:
        kind = "int" if "integer" in told else "float"
        wrong = [v for v in values if not isinstance(v, int if kind == "int" else (int, float))]
        return TypeError("can't convert %s to %s" % (type((wrong or [None])[0]).__name__, kind))
    return ValueError(told)


def pack(fmt, *values):
    """Give values as bytes."""
    _checked(fmt)
    return _packed(fmt, values)


def pack_into(fmt, buffer, offset, *values):
    """Write values into a buffer."""
    size = _checked(fmt)
    place = offset + len(buffer) if offset < 0 else offset
    if not 0 <= place <= len(buffer) - size:
        raise ValueError("buffer too small")
    memoryview(buffer)[place : place + size] = _packed(fmt, values)


def unpack(fmt, data):
    """Give the values that lie in bytes; more bytes than needed are left."""
    return unpack_from(fmt, data)


def unpack_from(fmt, data, offset=0):
    """Give the values that lie in bytes from a place on."""
    size = _checked(fmt)
    if isinstance(data, str):
        data = data.encode()
    place = offset + len(data) if offset < 0 else offset
    if not 0 <= place <= len(data) - size:
        raise ValueError("buffer too small")
    return struct.unpack_from(fmt, data, place)


class Array(array.array):
    """The board's array."""

    for _name in dir(array.array):
        if _name[:2] != "__" and _name not in ("append", "extend", "itemsize", "typecode"):
            locals()[_name] = Missing(_name)
    del _name

    def __new__(cls, code, *given):
        if code not in (*_WHOLE, "f", "d"):
            raise ValueError("bad typecode")
        size = array.array(code).itemsize
        if given and not isinstance(given[0], (str, bytes, bytearray, array.array)):
            given = ([_wrapped(code, value, size) for value in given[0]],)
        return super().__new__(cls, code, *given)

    def __setitem__(self, place, value):
        super().__setitem__(place, _wrapped(self.typecode, value, self.itemsize))

    def __delitem__(self, place):
        raise TypeError("'array' object doesn't support item deletion")

    def append(self, value):
        """Add one."""
        super().append(_wrapped(self.typecode, value, self.itemsize))


Array.__name__ = Array.__qualname__ = "array"
