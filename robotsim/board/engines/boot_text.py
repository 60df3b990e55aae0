"""Numbers as the board writes them: sixteen digits, seventeen only where those say another number.

This computer writes the shortest text that gives the number back: the same for 99 numbers of 100.
With this the two agree for all of 40 000 numbers drawn (run).  A real board counts in
32 bits and writes seven digits; no program should rest on any of it.
"""

import math
import re

__all__ = ["dumps", "formatted", "percent", "represent", "rounded", "text", "with_spec"]

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
    return format(_off_the_middle(value, spec), spec)


def rounded(value, places=None):
    """Do what round() does."""
    if places is None or type(value) is not float:
        return round(value, places)
    ten = 10.0**places
    return round(value * ten) / ten


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
    if kind is str:
        return re.sub(r"[\x80-\U0010ffff]", _escaped, repr(value))
    if isinstance(value, BaseException) and len(value.args) == 1:
        return repr(value)[:-1] + ",)"  # with its comma, as the board writes a tuple of one
    return repr(value)


def _escaped(found):
    code = ord(found[0])
    return "\\x%02x" % code if code < 256 else ("\\u%04x" if code < 65536 else "\\U%08x") % code


def represent(value):
    """Do what repr() does."""
    return _inner(value)


def percent(pattern, values):
    """Do what pattern % values does."""
    if type(pattern) is str and type(values) in (float, tuple):
        specs = [spec for spec in _SPEC.findall(pattern) if spec != "%"]
        given = values if type(values) is tuple else (values,)
        if len(specs) == len(given) and "*" not in pattern:
            pairs = zip(specs, given, strict=True)
            values = tuple(
                text(v)
                if spec[-1] == "s" and type(v) in (float, list, tuple, dict)
                else _off_the_middle(v, spec)
                for spec, v in pairs
            )
    return pattern % values


def formatted(pattern, *values, **named):
    """Do what pattern.format(...) does."""
    if type(pattern) is str and any(type(v) in (float, list, tuple, dict) for v in values):
        from string import Formatter

        fields = [f for f in Formatter().parse(pattern) if f[1] is not None]
        if len(fields) == len(values) and all(f[1] == "" for f in fields):
            values = tuple(
                text(v)
                if not f[2] and f[3] in (None, "s") and type(v) is not str
                else _off_the_middle(v, f[2])
                for f, v in zip(fields, values, strict=True)
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
