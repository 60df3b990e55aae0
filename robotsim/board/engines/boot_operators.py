"""What a program does by operators and statements, where the board comes to something else.

*Source*: the real interpreter, asked with the same programs (`tests/robotsim/snippets`).
"""

import math
import sys

from boot_values import Bytearray, method

__all__ = ["HOOKS"]


def _added(left, right):
    """Do what left + right does, one of which is written down as bytes."""
    if isinstance(left, bytes) and isinstance(right, str):
        return left + right.encode()
    return left + right


def _same(left, right):
    """Do what left == right does, one of which is written down as a range."""
    return left is right if isinstance(left, range) and isinstance(right, range) else left == right


def _bits(value):
    """Do what value does, which is the outcome of &, | or ^: of truths the board makes a number."""
    return int(value) if type(value) is bool else value


def _no_slice(*_):
    raise TypeError("can't create 'slice' instances")


def _no_keywords(value, name):
    if type(value) not in (str, bytes, bytearray, Bytearray):
        return method(value, name)

    def call(*given, **named):
        if named:
            raise TypeError("function doesn't take keyword arguments")
        return getattr(value, name)(*given)

    return call


def _power(base, exponent):
    """Do what base ** exponent does: a float that is too large has no end on the board."""
    try:
        return base**exponent
    except OverflowError:
        odd = base < 0 and exponent % 2 == 1
        return -math.inf if odd else math.inf


def _held(name):
    """Make sure that a name which a module takes out is there: on the board it is in a table."""
    place = sys._getframe(1)
    if place.f_locals is place.f_globals and name not in place.f_globals:
        raise KeyError(name)


HOOKS = {
    "__added__": _added, "__bits__": _bits, "__held__": _held, "__method__": method,
    "__no_keywords__": _no_keywords, "__no_slice__": _no_slice, "__power__": _power,
    "__same__": _same,
}  # fmt: skip
"""What `boot_dialect_tree` puts calls of into a program."""
