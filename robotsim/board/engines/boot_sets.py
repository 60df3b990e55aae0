"""Sets whose items come in the order of the board's table; see `boot_tables`."""

from boot_tables import FREE, Steps, Table

__all__ = ["Set", "gathered"]


class Set(set):
    """The board's set."""

    __slots__ = ("_table",)

    def __new__(cls, *given):
        made = set.__new__(cls)
        made._table = Table()
        return made

    def __init__(self, *given):
        self.update(*given)

    def __iter__(self):
        return Steps(lambda: self._table)

    def __contains__(self, value):
        hash(value)  # a set in a set is an error, where this computer looks for a frozen one
        return set.__contains__(self, value)

    def add(self, value):
        if value not in self:
            set.add(self, value)
            self._table.put(value)

    def discard(self, value):
        if value in self:
            self._table.drop(value)
            set.discard(self, value)

    def remove(self, value):
        if value not in self:
            raise KeyError(value)
        self.discard(value)

    def pop(self):
        for value in self:
            self.discard(value)
            return value
        raise KeyError("pop from an empty set")

    def clear(self):
        set.clear(self)
        self._table = Table()

    def copy(self):
        twin = Set()
        set.update(twin, set.__iter__(self))
        twin._table = Table(self._table.places)
        return twin

    def update(self, *others):
        for other in others:
            for value in other:
                self.add(value)

    def difference_update(self, *others):
        for other in others:
            for value in list(other):
                self.discard(value)

    def symmetric_difference_update(self, other):
        for value in list(other):
            (self.discard if value in self else self.add)(value)

    def intersection_update(self, other):
        kept = self.intersection(other)
        self.clear()
        set.update(self, set.__iter__(kept))
        self._table = kept._table

    def intersection(self, other):
        return Set(value for value in other if value in self)

    def union(self, *others):
        return self._changed(self.copy().update, *others)

    def difference(self, *others):
        return self._changed(self.copy().difference_update, *others)

    def symmetric_difference(self, other):
        return self._changed(self.copy().symmetric_difference_update, other)

    def _changed(self, change, *others):
        change(*others)
        return change.__self__

    def __repr__(self):
        from boot_text import represent

        return "{" + ", ".join(map(represent, self)) + "}" if self else "set()"


def _operator(method):
    def operate(self, other):
        return getattr(self, method)(other) if isinstance(other, (set, frozenset)) else (
            NotImplemented)  # fmt: skip

    return operate


def _in_place(method):
    def operate(self, other):
        if not isinstance(other, (set, frozenset)):
            return NotImplemented
        getattr(self, method + "_update" if method != "union" else "update")(other)
        return self

    return operate


_NAMES = {"or": "union", "and": "intersection", "sub": "difference", "xor": "symmetric_difference"}
for _name, _method in _NAMES.items():
    setattr(Set, "__%s__" % _name, _operator(_method))
    setattr(Set, "__i%s__" % _name, _in_place(_method))
Set.__name__ = Set.__qualname__ = "set"
Set.__module__ = "builtins"


def gathered(values, room):
    """Make a set of values that were written down, or gathered, with room for so many at first."""
    made = Set()
    made._table.places = [FREE] * room
    made.update(values)
    return made
