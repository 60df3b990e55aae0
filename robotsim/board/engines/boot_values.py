"""Built-in names that take values otherwise on the board: what they ask, compare, sort and make.

*Source*: the real interpreter, asked with the same programs (`tests/robotsim/snippets`).
"""

import builtins
import types
from functools import partial

from boot_sets import Set
from boot_tables import Dict, board_hash
from boot_text import address, shown
from offered import METHODS

__all__ = ["CHANGED", "METHOD_NAMES", "Missing", "like_the_boards"]

_SIMPLE = (int, str, float)
_ASCII = frozenset("upper lower isalpha isdigit isspace isupper islower".split())
_SPECIAL = frozenset(
    "__doc__ __cause__ __context__ __traceback__ __suppress_context__ __notes__ __annotations__ "
    "with_traceback add_note".split()
)
"""Names that exceptions, functions and classes have here alone, of those that programs use."""


def _lacking(kind):
    """Give the names that values of a kind have here, and not on the board."""
    if kind not in _known:
        names = _SPECIAL & frozenset(dir(kind))
        for base in kind.__mro__:
            if base.__name__ in METHODS and base.__module__ in ("builtins", "_hashlib", "array"):
                own = frozenset(name for name in dir(base) if name[:2] != "__")
                names |= own - frozenset(METHODS[base.__name__].split())
                break
        own = {name for each in kind.__mro__ for name in _made_by_learner(each)}
        _known[kind] = names - (own - {"__doc__"})
    return _known[kind]


def _made_by_learner(kind):
    return vars(kind) if kind in _from else ()


_known = {}
_from = {}
"""Class of the learner's to the module that it stands in."""
METHOD_NAMES = _ASCII | _SPECIAL | {"sort", "hexdigest", "__module__"}
for _each in (str, bytes, list, dict, set, int, float, complex):
    _here = {name for name in dir(_each) if name[:2] != "__"}
    METHOD_NAMES |= _here.difference(METHODS[_each.__name__].split())
"""Attributes after which a program's text is looked through."""


def method(value, name):
    """Do what value.name does."""
    kind = type(value)
    if name in _lacking(kind):
        raise AttributeError(_no_attribute(value, name))
    if name == "__module__":
        return _from.get(value) or _from.get(kind) or value.__module__
    if kind is str and name in _ASCII and not value.isascii():
        data = getattr(value.encode("utf-8", "surrogatepass"), name)
        return (lambda: data().decode("utf-8", "surrogatepass")) if name[:2] != "is" else data
    if kind is list and name == "sort":
        return partial(_sort, value)
    return getattr(value, name)


def _no_attribute(value, name):
    if isinstance(value, type):
        return "type object '%s' has no attribute '%s'" % (value.__name__, name)
    kind = type(value).__name__
    return "'%s' object has no attribute '%s'" % (value.name if kind == "HASH" else kind, name)


def _getattr(value, name, *other):
    if name in METHOD_NAMES:
        try:
            return method(value, name)
        except AttributeError:
            if other:
                return other[0]
            raise
    return getattr(value, name, *other)


def _hasattr(value, name):
    return hasattr(value, name) and not (name in METHOD_NAMES and name in _lacking(type(value)))


# -- kinds -------------------------------------------------------------------


class Missing:
    """Stands where this computer has a method and the board has none."""

    def __init__(self, name):
        self.name = name

    def __get__(self, value, kind):
        raise AttributeError("'%s' object has no attribute '%s'" % (kind.__name__, self.name))


class Bytearray(bytearray):
    """The board's bytearray: a number that is too large for a byte keeps its low eight bits."""

    for _name in "clear copy insert pop remove reverse".split():
        locals()[_name] = Missing(_name)
    del _name

    def __init__(self, *given):
        if given and type(given[0]) is bool:
            raise TypeError("'bool' object isn't iterable")
        if given and not isinstance(given[0], (int, str, bytes, bytearray, memoryview)):
            if hasattr(given[0], "__iter__") and not hasattr(given[0], "typecode"):
                given = ([each & 255 if isinstance(each, int) else each for each in given[0]],)
        super().__init__(*given)

    def __setitem__(self, place, value):
        if not isinstance(value, int) and isinstance(place, int):
            self[place]  # a place that is not there is told first
        super().__setitem__(place, value & 255 if isinstance(value, int) else value)

    def __delitem__(self, place):
        raise TypeError("'bytearray' object doesn't support item deletion")

    def append(self, value):
        super().append(value & 255 if isinstance(value, int) else value)

    def __add__(self, other):
        return Bytearray(super().__add__(other))

    def __getitem__(self, place):
        got = super().__getitem__(place)
        return got if type(got) is int else Bytearray(got)


class Type(type):
    """The board's type(): it knows fewer kinds than this computer has."""

    def __new__(cls, *given):
        return _kind(given[0]) if len(given) == 1 else build_class(None, *given)

    def __init__(cls, *given):
        pass


for _each in (Bytearray, Type):
    _each.__module__, _each.__qualname__ = "builtins", _each.__name__.lower()
    _each.__name__ = _each.__qualname__
_REAL = {Dict: dict, Set: set, Bytearray: bytearray, Type: type}
_BOARDS = {
    **{real: ours for ours, real in _REAL.items()},
    types.BuiltinFunctionType: types.FunctionType, types.CoroutineType: types.GeneratorType,
}  # fmt: skip


def _kind(value):
    kind = type(value)
    if isinstance(value, BaseException):
        from boot_words import board_kind

        return board_kind(kind)
    return _BOARDS.get(kind, kind)


def _real(kinds):
    kinds = kinds if type(kinds) is tuple else (kinds,)
    return tuple([_REAL.get(kind, kind) if isinstance(kind, type) else kind for kind in kinds])


def _isinstance(value, kinds):
    kinds = _real(kinds)
    if type(value) is bool and isinstance(value, kinds):
        return bool in kinds or object in kinds
    return isinstance(value, kinds)


def _issubclass(kind, kinds):
    kind, kinds = _REAL.get(kind, kind), _real(kinds)
    if kind is bool and issubclass(kind, kinds):
        return bool in kinds or object in kinds
    return issubclass(kind, kinds)


def build_class(body, name, *bases, **more):
    """Make a class as the board does: one that prints so, and takes what nobody asked for."""
    if body is None:
        made = type(name, *bases)
    else:
        made = builtins.__build_class__(body, name, *bases, **more)
    _from[made] = made.__module__
    like_the_boards(made)
    if made.__init__ is object.__init__ and made.__new__ is object.__new__:
        made.__init__ = _take_anything
    return made


def like_the_boards(kind):
    """Have a class and what is made of it print as on the board."""
    kind.__module__, kind.__qualname__ = "builtins", kind.__name__
    if kind.__repr__ is object.__repr__:
        kind.__repr__ = shown


def _take_anything(self, *given, **named):
    if (given or named) and type(self).__init__ is not _take_anything:
        raise TypeError("function takes 1 positional arguments but %d were given" % (
            1 + len(given) + len(named)))  # fmt: skip


def _hash(value):
    return board_hash(value) if isinstance(value, (str, bytes)) else hash(value)


# -- sorting -------------------------------------------------------------------


def _sorted(*given, key=None, reverse=False):
    if len(given) != 1:
        raise TypeError("must use keyword argument for key function")
    items = list(given[0])
    _sort(items, key=key, reverse=reverse)
    return items


def _sort(items, *, key=None, reverse=False):
    """Sort a list as the board does.

    What is equal comes in another order than this computer's, and the key is asked anew whenever
    an item is looked at, which also takes its time.
    """
    kinds = {type(each) for each in items}
    if key is None and len(kinds) < 2 and kinds <= {int, str, float}:
        items.sort(reverse=reverse)
    else:
        _by_halves(items, 0, len(items) - 1, not reverse, key or _itself)


def _itself(item):
    return item


def _by_halves(items, low, high, before, key):
    while low < high:
        up, down, pivot = low - 1, high, key(items[high])
        while True:
            up += 1
            while up < down and (key(items[up]) < pivot) is before:
                up += 1
            down -= 1
            while up < down and (pivot < key(items[down])) is before:
                down -= 1
            if up >= down:
                break
            items[up], items[down] = items[down], items[up]
        items[up], items[high] = items[high], items[up]
        if down - low < high - up - 1:
            _by_halves(items, low, down, before, key)
            low = up + 1
        else:
            _by_halves(items, up + 1, high, before, key)
            high = down


CHANGED = {
    "bytearray": Bytearray, "dict": Dict, "getattr": _getattr, "hasattr": _hasattr, "hash": _hash,
    "id": address, "isinstance": _isinstance, "issubclass": _issubclass, "set": Set,
    "sorted": _sorted, "type": Type, "__build_class__": build_class,
}  # fmt: skip
"""Built-in names in whose place the board has its own."""
