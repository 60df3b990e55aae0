"""Dicts and sets whose items come in the board's order: that of its table, not of their making.

The board keeps both as a table of open addresses: a key lies at its hash modulo the table's
size or in the next free place, and the table grows only when it is full.

*Source*: the public source of MicroPython's map (read), and the real interpreter, asked with the
same programs (`tests/robotsim/board/test_tables.py`).  Keys that are tuples or objects have a
hash that is an address there: those come in an order of no meaning on either.
"""

import builtins
from itertools import islice

__all__ = ["FREE", "Dict", "Steps", "Table", "board_hash", "table"]

_SIZES = (
    0, 1, 2, 4, 6, 8, 10, 12, 17, 23, 29, 37, 47, 59, 73, 97, 127, 167, 223, 293, 389, 521, 691,
    919, 1223, 1627, 2161, 3229, 4831, 7243, 10861, 16273, 24407, 36607, 54907,
)  # fmt: skip
FREE, _LEFT = object(), object()
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


class Table:
    """Where the keys lie."""

    __slots__ = ("places",)

    def __init__(self, places=()):
        self.places = list(places)

    def put(self, key):
        """Give a key that is not there its place."""
        code = board_hash(key) & _WORD
        while True:
            places = self.places
            size, free = len(places), None
            for step in range(size):
                place = (code + step) % size
                if places[place] is FREE:
                    places[place if free is None else free] = key
                    return
                if places[place] is _LEFT and free is None:
                    free = place
            if free is not None:
                places[free] = key
                return
            self._grow()

    def _grow(self):
        wanted = len(self.places) + 1
        old = [key for key in self.places if key is not FREE and key is not _LEFT]
        self.places = [FREE] * next((n for n in _SIZES if n >= wanted), wanted + wanted // 2 | 1)
        for key in old:
            self.put(key)

    def drop(self, key):
        """Take a key out that is there."""
        places, size = self.places, len(self.places)
        place = next(n for n in range(size) if places[n] is key or places[n] == key)
        places[place] = FREE if places[(place + 1) % size] is FREE else _LEFT

    def next(self, place):
        """Give the first place from this one on in which a key lies; -1 where there is none."""
        places = self.places
        while place < len(places):
            if places[place] is not FREE and places[place] is not _LEFT:
                return place
            place += 1
        return -1


class Dict(dict):
    """The board's dict.  Its table is worked out when somebody goes through it."""

    __slots__ = ("_table", "_used")

    def __new__(cls, *given, **named):
        made = dict.__new__(cls)
        made._table, made._used = Table(), 0
        return made

    def __init__(self, *given, **named):
        if given or named:
            self.update(*given, **named)

    def _synced(self):
        """Give the table, with whatever has been put in since it was last looked at."""
        new = len(self) - self._used
        if new:
            for key in reversed(list(islice(dict.__reversed__(self), new))):
                self._table.put(key)
            self._used = len(self)
        return self._table

    def __iter__(self):
        return Steps(self._synced)

    def keys(self):
        return _View(self, "dict_keys", lambda key: key)

    def values(self):
        return _View(self, "dict_values", self.__getitem__)

    def items(self):
        return _View(self, "dict_items", lambda key: (key, self[key]))

    def get(self, key, other=None):
        return dict.get(self, key, other) if len(self) else other  # no hash is asked for there

    def _drop(self, key):
        if key in self:
            self._synced().drop(key)
            self._used -= 1

    def __delitem__(self, key):
        self._drop(key)
        dict.__delitem__(self, key)

    def pop(self, key, *other):
        self._drop(key)
        return dict.pop(self, key, *other)

    def popitem(self):
        for key in self:
            return key, self.pop(key)
        raise KeyError("popitem(): dictionary is empty")

    def clear(self):
        dict.clear(self)
        self._table, self._used = Table(), 0

    def update(self, *given, **named):
        for pairs in (*given, named):
            if hasattr(pairs, "keys"):
                pairs = [(key, pairs[key]) for key in pairs.keys()]
            for pair in pairs:
                pair = tuple(pair)
                if len(pair) != 2:
                    raise ValueError("dict update sequence has wrong length")
                self[pair[0]] = pair[1]

    def copy(self):
        twin = Dict()
        twin._table = Table(self._synced().places)
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


class Steps:
    """Goes through a table as it is at each step."""

    __slots__ = ("_place", "_table")

    def __init__(self, table):
        self._table, self._place = table, 0

    def __iter__(self):
        return self

    def __next__(self):
        table = self._table()
        place = table.next(self._place)
        if place < 0:
            raise StopIteration
        self._place = place + 1
        return table.places[place]


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


Dict.__name__ = Dict.__qualname__ = "dict"
Dict.__module__ = "builtins"


def table(pairs, room):
    """Make a dict of one that was written down, or gathered, with room for so many at first."""
    made = Dict()
    made._table.places = [FREE] * room
    for key in pairs:
        dict.__setitem__(made, key, pairs[key])
    return made
