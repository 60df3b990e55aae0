"""Dicts whose items come in the board's order, which is that of its table and not of their making.

The board keeps a dict as a table of open addresses: a key lies at its hash modulo the table's
size or in the next free place, and the table grows only when it is full.  Here a dict keeps its
items as ever; the table is worked out when somebody goes through it.

*Source*: the public source of MicroPython's map (read), and the real interpreter, asked with the
same dicts (`tests/robotsim/board/test_tables.py`).  Keys that are tuples or objects have a
hash that is an address there: those come in an order of no meaning on either.
"""

import builtins
from itertools import islice

__all__ = ["Dict", "board_hash", "table"]

_SIZES = (
    0, 1, 2, 4, 6, 8, 10, 12, 17, 23, 29, 37, 47, 59, 73, 97, 127, 167, 223, 293, 389, 521, 691,
    919, 1223, 1627, 2161, 3229, 4831, 7243, 10861, 16273, 24407, 36607, 54907,
)  # fmt: skip
_FREE, _LEFT = object(), object()
"""A place in which nothing was ever, and one that something has left."""
_WORD = (1 << 64) - 1


def board_hash(value):
    """Give the hash that the board gives a key."""
    if isinstance(value, (str, bytes)):
        code = 5381
        for byte in value.encode("utf-8", "surrogatepass") if isinstance(value, str) else value:
            code = code * 33 & 0xFFFFFFFF ^ byte
        return code & 0xFFFF or 1
    if isinstance(value, int):
        return int(value)
    if value is None:
        return 6
    return builtins.hash(value)


class Dict(dict):
    """The board's dict."""

    __slots__ = ("_places", "_used")

    def __new__(cls, *given, **named):
        made = dict.__new__(cls)
        made._places, made._used = [], 0
        return made

    def __init__(self, *given, **named):
        if given or named:
            self.update(*given, **named)

    def _synced(self):
        """Give the table, with whatever has been put in since it was last looked at."""
        new = len(self) - self._used
        if new:
            for key in reversed(list(islice(dict.__reversed__(self), new))):
                self._put(key)
            self._used = len(self)
        return self._places

    def _put(self, key):
        places, code = self._places, board_hash(key) & _WORD
        while True:
            size = len(places)
            free = None
            for step in range(size):
                place = (code + step) % size
                if places[place] is _FREE:
                    places[place if free is None else free] = key
                    return
                if places[place] is _LEFT and free is None:
                    free = place
            if free is not None:
                places[free] = key
                return
            self._grow()
            places = self._places

    def _grow(self):
        old, wanted = self._places, len(self._places) + 1
        size = next((n for n in _SIZES if n >= wanted), wanted + wanted // 2 | 1)
        self._places = [_FREE] * size
        for key in old:
            if key is not _FREE and key is not _LEFT:
                self._put(key)

    def _drop(self, key):
        """Take a key, which is there, out of the table."""
        places = self._synced()
        size = len(places)
        place = next(n for n in range(size) if places[n] is key or places[n] == key)
        places[place] = _FREE if places[(place + 1) % size] is _FREE else _LEFT
        self._used -= 1

    def __iter__(self):
        place = 0
        while True:
            places = self._synced()
            while place < len(places) and (places[place] is _FREE or places[place] is _LEFT):
                place += 1
            if place >= len(places):
                return
            place += 1
            yield places[place - 1]

    def keys(self):
        return _View(self, "dict_keys", lambda key: key)

    def values(self):
        return _View(self, "dict_values", self.__getitem__)

    def items(self):
        return _View(self, "dict_items", lambda key: (key, self[key]))

    def __delitem__(self, key):
        if key in self:
            self._drop(key)
        dict.__delitem__(self, key)

    def pop(self, key, *other):
        if key in self:
            self._drop(key)
        return dict.pop(self, key, *other)

    def popitem(self):
        for key in self:
            return key, self.pop(key)
        raise KeyError("popitem(): dictionary is empty")

    def clear(self):
        dict.clear(self)
        self._places, self._used = [], 0

    def update(self, *given, **named):
        for pairs in (*given, named):
            if isinstance(pairs, dict) or hasattr(pairs, "keys"):
                for key in pairs.keys():
                    self[key] = pairs[key]
            else:
                for pair in pairs:
                    key, value = pair
                    self[key] = value

    def copy(self):
        twin = Dict()
        twin._places = list(self._synced())
        for key in self:
            dict.__setitem__(twin, key, self[key])
        twin._used = self._used
        return twin

    def __or__(self, other):
        if not isinstance(other, dict):
            return NotImplemented
        twin = self.copy()
        twin.update(other)
        return twin

    def __ior__(self, other):
        self.update(other)
        return self


Dict.__name__ = Dict.__qualname__ = "dict"
Dict.__module__ = "builtins"


def table(pairs, room):
    """Make a dict of one that was written down, or gathered, with room for so many at first."""
    made = Dict()
    made._places = [_FREE] * room
    for key in pairs:
        dict.__setitem__(made, key, pairs[key])
    return made


class _View:
    """What a dict's items(), keys() and values() give."""

    def __init__(self, of, name, each):
        self._of, self._name, self._each = of, name, each

    def __iter__(self):
        return map(self._each, iter(self._of))

    def __len__(self):
        return len(self._of)

    def __contains__(self, value):
        return any(value == each for each in self)

    def __repr__(self):
        from boot_text import represent

        return "%s(%s)" % (self._name, represent(list(self)))
