"""Numbers as the board writes them: sixteen digits, seventeen only where those say another number.

This computer writes the shortest text that gives the number back: the same for 99 numbers of 100.
With this the two agree for all of 40 000 numbers drawn (run).  A real board counts in
32 bits and writes seven digits; no program should rest on any of it.
"""

import math
import re
import types
from _weakref import ref
from collections import OrderedDict
from types import FunctionType, MethodType

from boot_tables import Dict, Steps

__all__ = [
    "address", "formatted", "numbered", "percent", "represent", "rounded", "shown", "text",
    "with_spec",
]  # fmt: skip

_FIRST, _STEP = 0x3FFB0000, 32
"""Where addresses begin, and how far the next one is; invented."""
_state = [0x7F0000000000]
_SPEC = re.compile(r"%(%|[-#0 +]*(?:\d+|\*)?(?:\.(?:\d+|\*))?[a-zA-Z])")


def _extended(top, bottom, shift):
    """Round top / bottom * 2**shift to a significand of 64 bits: (significand, shift)."""
    more = 65 + bottom.bit_length() - top.bit_length()
    if more > 0:
        top, shift = top << more, shift - more
    whole, rest = divmod(top, bottom)
    spare = whole.bit_length() - 64
    half, low = 1 << (spare - 1), whole & ((1 << spare) - 1)
    whole >>= spare
    if low > half or low == half and (rest or whole & 1):
        whole += 1
    return whole, shift + spare


def _times_ten(value, shift, power):
    """Give value * 2**shift * 10**power as the board does, which rounds after every step."""
    ten, step = 10, abs(power)
    while step:
        if step & 1:
            top, bottom = (value * ten, 1) if power > 0 else (value, ten)
            value, shift = _extended(top, bottom, shift)
        step >>= 1
        ten *= ten
    return value, shift


def _read(mantissa, power):
    """Give the float that the board reads from mantissa * 10**power."""
    value, shift = _times_ten(mantissa, 0, power)
    return float(value << shift) if shift >= 0 else value / 2**-shift


def _mantissa(value, power):
    """Give the whole number nearest to value * 10**power as the board reckons it."""
    top, bottom = value.as_integer_ratio()
    value, shift = _times_ten(top, 1 - bottom.bit_length(), power)
    return value << shift if shift >= 0 else (value + (1 << (-shift - 1))) >> -shift


def number(value):
    """Write a float."""
    if not 1e-290 < abs(value) < 1e290:  # nought, none, endless; and where rounding is another's
        digits = "%.16g" % value
        return digits if re.search("[.en]", digits) else digits + ".0"
    size, exponent = abs(value), int(("%.15e" % value).partition("e")[2])
    for count in (15, 16):
        mantissa = _mantissa(size, count - exponent)
        if _read(mantissa, exponent - count) == size:
            break
    digits = str(mantissa)
    exponent += len(digits) - count - 1
    return ("-" if value < 0 else "") + _laid_out(digits.rstrip("0"), exponent)


def _laid_out(digits, exponent):
    if not -5 < exponent < 16:
        return digits[0] + ("." + digits[1:] if digits[1:] else "") + "e%+03d" % exponent
    if exponent < 0:
        return "0." + "0" * (-exponent - 1) + digits
    digits += "0" * (exponent + 1 - len(digits))
    return digits[: exponent + 1] + "." + (digits[exponent + 1 :] or "0")


def _off_the_middle(value, spec):
    """Give a float that rounds as on the board, which rounds up what lies just in the middle."""
    places = re.search(r"\.(\d+)[fF]$", spec)
    if type(value) is float and places and abs(value) < 1e15:
        top, bottom = value.as_integer_ratio()
        halves, rest = divmod(top * 2 * 10 ** int(places[1]), bottom)
        if not rest and halves % 2:
            return math.nextafter(value, math.copysign(math.inf, value))
    return value


def with_spec(value, spec):
    """Do what format() does."""
    kind = type(value)
    if kind is int or kind is str:
        return format(value, spec)
    if kind is float:
        # Without a letter the board writes six digits.
        spec += "" if not spec or spec[-1].isalpha() or spec[-1] == "%" else "g"
        return format(_off_the_middle(value, spec), spec)
    if isinstance(value, (int, float, str, complex)):
        return format(value, spec)
    if spec[-1].isalpha() and spec[-1] != "s":
        told = "unknown format code '%s' for object of type '%s'" % (spec[-1], kind.__name__)
        raise ValueError(told)
    raise TypeError("can't convert '%s' object to str implicitly" % kind.__name__)


def rounded(value, places=None):
    """Do what round() does."""
    if places is None or type(value) is not float:
        return round(value, places)
    ten = 10.0**places
    return math.copysign(round(value * ten) / ten, value)  # a little below nought: -0.0


def text(value):
    """Do what str() does."""
    kind = type(value)
    if kind is str:
        return value
    if kind in _SHOWN:
        return _SHOWN[kind](value)
    if isinstance(value, BaseException) and kind.__str__ in _OWN_WORDS:
        from boot_words import board_words

        return board_words(value)[1]
    return str(value)


def represent(value):
    """Do what repr() does."""
    kind = type(value)
    if kind in _SHOWN:
        return _SHOWN[kind](value)
    if kind is str:
        return re.sub(r"[\x80-\U0010ffff]", _escaped, repr(value))
    if isinstance(value, BaseException) and kind.__repr__ is BaseException.__repr__:
        from boot_words import board_kind

        return board_kind(kind).__name__ + (represent(value.args) if value.args else "()")
    return repr(value)


def _joined(values):
    return ", ".join(map(represent, values))


def _pairs(value):
    return "{" + ", ".join(represent(k) + ": " + represent(v) for k, v in value.items()) + "}"


_given = {}
_numbers = {}
_SEEN = re.compile(r"( at (?:0x)?|<bound_method )([0-9a-f]{9,})([> ])")


def _place(value):
    """Give a number that no other value has or had."""
    found = _given.get(id(value))
    if found is not None and found[1]() is value:
        return found[0]
    try:
        keeper = ref(value)
    except TypeError:
        keeper = lambda: value  # noqa: E731  what nobody can look at otherwise is kept
    _state[0] += _STEP
    _given[id(value)] = (_state[0], keeper)
    return _state[0]


def address(value):
    """Do what id() does: addresses are given out by a counter, to whom asks first."""
    return _number(_place(value))


def _number(place):
    return _numbers.setdefault(place, _FIRST + _STEP * (len(_numbers) + 1))


def numbered(line):
    """Give a text for the console, with the addresses in it in the order in which they are seen."""
    if " at " in line or "<bound_method " in line:
        return _SEEN.sub(lambda m: "%s%x%s" % (m[1], _number(int(m[2], 16)), m[3]), line)
    return line


def shown(value):
    """Tell a value that has no words of its own."""
    return "<%s object at %x>" % (type(value).__name__, _place(value))


def _function(value):
    owner = getattr(value, "__self__", None)
    if owner is not None and type(owner) is not types.ModuleType:
        head = "<bound_method %x %s." % (_place(value), represent(owner))
        inner = _function(value.__func__) if type(value) is MethodType else "<function>"
        return head + inner + ">"
    if type(value) is FunctionType and value.__code__.co_flags & _GENERATES:
        return "<generator>"
    if type(value) is FunctionType:
        return "<function %s at 0x%x>" % (value.__name__, _place(value))
    return "<function>"


def _generator(value):
    return "<generator object '%s' at %x>" % (value.__name__, _place(value))


_SHOWN = {
    float: number,
    list: lambda value: "[" + _joined(value) + "]",
    tuple: lambda value: "(" + _joined(value) + (",)" if len(value) == 1 else ")"),
    dict: _pairs, Dict: _pairs, Steps: lambda _: "<iterator>",
    OrderedDict: lambda value: "OrderedDict(" + _pairs(value) + ")",
    object: lambda _: "<object>",
    re.Match: lambda value: "<match num=%d>" % (1 + len(value.groups())),
    FunctionType: _function, types.BuiltinFunctionType: _function, MethodType: _function,
    types.GeneratorType: _generator, types.CoroutineType: _generator,
    **dict.fromkeys((type(iter(each)) for each in ([], (), "", "é", b"", range(1))),
                    lambda _: "<iterator>"),
    **{kind: lambda value: "<%s>" % type(value).__name__
       for kind in (zip, map, enumerate, reversed, filter, memoryview)},
    type(reversed([])): lambda _: "<reversed>",
}  # fmt: skip
"""Kind to how the board shows a value of it, where that is not this computer's way."""
_GENERATES = 0x20 | 0x80
"""Flags of what makes a generator or a coroutine."""
_OWN_WORDS = (BaseException.__str__, KeyError.__str__, OSError.__str__, SyntaxError.__str__)


def _escaped(found):
    code = ord(found[0])
    return "\\x%02x" % code if code < 256 else ("\\u%04x" if code < 65536 else "\\U%08x") % code


def percent(pattern, values):
    """Do what pattern % values does."""
    if type(pattern) is str and type(values) not in (str, int, dict, Dict):
        specs = [spec for spec in _SPEC.findall(pattern) if spec != "%"]
        given = values if type(values) is tuple else (values,)
        if len(specs) == len(given) and "*" not in pattern:
            pairs = zip(specs, given, strict=True)
            values = tuple(
                text(v)
                if spec[-1] == "s" and type(v) not in (str, int)
                else _off_the_middle(v, spec)
                for spec, v in pairs
            )
    return pattern % values


def formatted(pattern, *values, **named):
    """Do what pattern.format(...) does."""
    if all(type(value) in (str, int) for value in (*values, *named.values())):
        return pattern.format(*values, **named)
    fields = _fields(pattern, values, named)
    if fields is None:  # this computer's own says what is wrong
        return pattern.format(*values, **named)
    made = []
    for before, value, spec, way in fields:
        if way:
            value = represent(value) if way == "r" else text(value)
        made += [before, with_spec(value, spec) if spec else text(value)]
    return "".join(made)


def _fields(pattern, values, named):
    """Give the pieces of a pattern, each with its value; None where there is more to it."""
    from string import Formatter

    found, count = [], 0
    try:
        for before, field, spec, way in Formatter().parse(pattern):
            if field is None:
                found.append((before, "", "", None))
                continue
            if "{" in spec or count and field.isdigit():
                return None
            if field == "" or field.isdigit():
                found.append((before, values[int(field or count)], spec, way))
                count += field == ""
            else:
                found.append((before, named[field], spec, way))
    except (IndexError, KeyError, ValueError):
        return None
    return found
