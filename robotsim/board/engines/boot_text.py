"""Numbers as the board writes them: sixteen digits, seventeen only where those say another number.

This computer writes the shortest text that gives the number back.  The two agree for 99 numbers
of 100 (of 20 000 drawn, run); with this they agree for all but a few of 10 000.  A real board
counts in 32 bits and writes seven digits; no program should rest on any of it.
"""

import re
from string import Formatter

__all__ = ["dumps", "formatted", "percent", "text"]

_SPEC = re.compile(r"%(%|[-#0 +]*(?:\d+|\*)?(?:\.(?:\d+|\*))?[a-zA-Z])")


def number(value):
    """Write a float."""
    digits = "%.16g" % value
    if float(digits) != value and value == value:
        digits = "%.17g" % value
    return digits if re.search("[.en]", digits) else digits + ".0"


def text(value):
    """Do what str() does."""
    kind = type(value)
    if kind is str:
        return value
    return _inner(value) if kind in (float, list, tuple, dict) else str(value)


def _inner(value):
    kind = type(value)
    if kind is float:
        return number(value)
    if kind is list:
        return "[" + ", ".join(map(_inner, value)) + "]"
    if kind is tuple:
        return "(" + ", ".join(map(_inner, value)) + (",)" if len(value) == 1 else ")")
    if kind is dict:
        return "{" + ", ".join(_inner(k) + ": " + _inner(v) for k, v in value.items()) + "}"
    if isinstance(value, BaseException) and len(value.args) == 1:
        return repr(value)[:-1] + ",)"  # with its comma, as the board writes a tuple of one
    return repr(value)


def represent(value):
    """Do what repr() does."""
    return _inner(value)


def percent(pattern, values):
    """Do what pattern % values does."""
    if type(pattern) is str and type(values) in (float, tuple):
        specs = [spec for spec in _SPEC.findall(pattern) if spec != "%"]
        given = values if type(values) is tuple else (values,)
        if len(specs) == len(given) and "*" not in pattern:
            pairs = zip(specs, given)
            values = tuple(
                text(v) if spec[-1] == "s" and type(v) in (float, list, tuple, dict) else v
                for spec, v in pairs
            )
    return pattern % values


def formatted(pattern, *values, **named):
    """Do what pattern.format(...) does."""
    if type(pattern) is str and any(type(v) in (float, list, tuple, dict) for v in values):
        fields = [f for f in Formatter().parse(pattern) if f[1] is not None]
        if len(fields) == len(values) and all(f[1] == "" for f in fields):
            values = tuple(
                text(v) if not f[2] and f[3] in (None, "s") and type(v) is not str else v
                for f, v in zip(fields, values)
            )
    return pattern.format(*values, **named)


def dumps(value, between=", ", after=": "):
    """Write a value in JSON as the board does: what JSON has no word for, as repr() writes it."""
    from json.encoder import encode_basestring

    def write(value):
        if value is None or value is True or value is False:
            return {None: "null", True: "true", False: "false"}[value]
        if isinstance(value, str):
            return encode_basestring(value)
        if isinstance(value, (list, tuple)):
            return "[" + between.join(map(write, value)) + "]"
        if isinstance(value, dict):
            pairs = (write(k if type(k) is str else text(k)) + after + write(v)
                     for k, v in value.items())  # fmt: skip
            return "{" + between.join(pairs) + "}"
        return _inner(value)

    return write(value)
