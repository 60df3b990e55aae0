"""JSON as the board reads and writes it.

It reads more than JSON: commas and colons are to it what blanks are, and it does not look which
bracket closes which.  What is no such text fails under the same words.

*Source*: the public source of MicroPython's module (read), and the real interpreter (run).
"""

import json
from json.encoder import encode_basestring

from boot_tables import Dict
from boot_text import represent

__all__ = ["dumps", "loads"]

_WORDS = {"null": None, "false": False, "true": True}
_BETWEEN = ",: \t\n\r"
_ESCAPES = {"b": "\b", "f": "\f", "n": "\n", "r": "\r", "t": "\t"}
_FAULT = "syntax error in JSON"


def dumps(value, between=", ", after=": "):
    """Write a value in JSON; what JSON has no word for as repr() writes it."""

    def write(value):
        if value is None or value is True or value is False:
            return {None: "null", True: "true", False: "false"}[value]
        if isinstance(value, (str, bytes)):
            value = value if isinstance(value, str) else value.decode("utf-8", "replace")
            return encode_basestring(value)
        if isinstance(value, (list, tuple)):
            return "[" + between.join(map(write, value)) + "]"
        if isinstance(value, dict):
            pairs = (_key(k, write) + after + write(v) for k, v in value.items())
            return "{" + between.join(pairs) + "}"
        return represent(value)

    return write(value)


def _key(key, write):
    written = write(key)
    return written if written[:1] == '"' else '"' + written + '"'


def loads(source):
    """Read a value."""
    if not isinstance(source, (str, bytes, bytearray)):
        raise TypeError("object with buffer protocol required")
    try:
        return json.loads(source, object_pairs_hook=Dict, parse_constant=_refuse, strict=False)
    except ValueError:
        source = source if isinstance(source, str) else bytes(source).decode("utf-8", "replace")
        return _Reader(source).read()


def _refuse(_):
    raise ValueError


class _Reader:
    def __init__(self, source):
        self.source, self.place = source, 0

    def read(self):
        """Read what the board would."""
        outer, key = [], _refuse  # the collections that are open; a key that waits for its value
        top = _refuse
        while True:
            sign = self._next()
            if sign == "":
                raise ValueError(_FAULT)
            if sign in "}]":
                if top is _refuse:
                    raise ValueError(_FAULT)
                if not outer:
                    break
                top = outer.pop()
                continue
            value = self._value(sign)
            opened = sign in "[{"
            if top is _refuse:
                top = value
                if not opened:
                    break
                continue
            if type(top) is list:
                top.append(value)
            elif key is _refuse:
                if opened:
                    raise ValueError(_FAULT)
                key = value
            else:
                top[key] = value
                key = _refuse
            if opened:
                outer.append(top)
                top = value
        if self.source[self.place :].strip(" \t\n\r\v\f"):
            raise ValueError(_FAULT)
        return top

    def _next(self):
        while self.place < len(self.source) and self.source[self.place] in _BETWEEN:
            self.place += 1
        self.place += 1
        return self.source[self.place - 1 : self.place]

    def _value(self, sign):
        if sign == "[":
            return []
        if sign == "{":
            return Dict()
        if sign == '"':
            return self._text()
        if sign in "-0123456789":
            return self._number()
        for word, value in _WORDS.items():
            if self.source.startswith(word, self.place - 1):
                self.place += len(word) - 1
                return value
        raise ValueError(_FAULT)

    def _number(self):
        start = self.place - 1
        while self.source[self.place : self.place + 1] in tuple("0123456789+-.eE"):
            self.place += 1
        found = self.source[start : self.place]
        return float(found) if set(found) & set(".eE") else int(found)

    def _text(self):
        made = []
        while True:
            sign = self.source[self.place : self.place + 1]
            self.place += 1
            if sign == "":
                raise ValueError(_FAULT)
            if sign == '"':
                return "".join(made)
            if sign == "\\":
                sign = self.source[self.place : self.place + 1]
                self.place += 1
                if sign == "u":
                    sign = chr(int(self.source[self.place : self.place + 4], 16))
                    self.place += 4
                else:
                    sign = _ESCAPES.get(sign, sign)
            made.append(sign)
