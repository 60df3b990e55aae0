"""Short programs of the kind that learners write, drawn by hypothesis."""

from __future__ import annotations

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

__all__ = ["drawn"]

_WORDS = ("speed", "left", "port", "a", "b", "ab c", "", "Fähre", "12", "0.5", "x,y", " tug ")
_INTS = st.one_of(st.integers(-9, 40), st.sampled_from([255, 1023, 4095, 65535, 65536, 100000]))
_FLOATS = st.sampled_from([0.5, 0.1, -2.5, 1.0, 3.14159, 100.0, 1e-3, 2.675, 1e6, 0.35, 12.25])
_TEXTS = st.sampled_from(_WORDS)
_ATOMS = st.one_of(_INTS, _FLOATS, _TEXTS, st.booleans(), st.none(), _TEXTS.map(str.encode)).map(
    repr
)


def _collections(of: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    some = st.lists(of, max_size=4)
    return st.one_of(
        some.map(lambda v: f"[{', '.join(v)}]"),
        some.map(lambda v: f"({', '.join(v)},)" if v else "()"),
        st.lists(_INTS.map(str) | _TEXTS.map(repr), max_size=5).map(
            lambda v: "{" + ", ".join(f"{k}: {n}" for n, k in enumerate(v)) + "}"
        ),
        st.lists(_INTS.map(str) | _TEXTS.map(repr), min_size=1, max_size=5).map(
            lambda v: "{" + ", ".join(v) + "}"
        ),
    )


_VALUES = st.one_of(_ATOMS, _collections(_ATOMS))
_OPERATORS = st.sampled_from(
    "+ - * / // % == != < <= > >= in and or & | ^ is".split()
)  # fmt: skip
_CALLS = st.sampled_from(
    "len abs int float str round bool list tuple sorted sum min max repr type set dict bytes chr "
    "ord any all enumerate".split()
)
_OF_COLLECTIONS = st.sampled_from("len sorted sum min max list tuple set str repr".split())
_METHODS = st.sampled_from(
    ["upper()", "lower()", "strip()", "split()", "split(',')", "find('a')", "replace('a', 'o')",
     "startswith('a')", "isdigit()", "count('e')", "index('a')", "encode()", "join(['a', 'b'])",
     "append(5)", "pop()", "keys()", "get('a')", "items()", "sort()", "copy()", "zfill(4)",
     "title()", "isalpha()", "center(7)", "reverse()", "format(1)", "decode()", "values()"]
)  # fmt: skip
_PLACES = st.sampled_from(["[0]", "[-1]", "[1:]", "[:2]", "[5]", "['a']", "[::-1]", "[1:3]"])
_SPECS = st.sampled_from(["", "d", "5d", "05d", ".2f", "8.3f", "x", "s", ">6", "<6", "^7", "e"])
_PERCENTS = st.sampled_from(["%s", "%d", "%5.1f", "%r", "%x", "%03d", "%-6s|", "%e", "%c", "%g"])

_EXPRESSIONS = (
    st.builds("{} {} {}".format, _VALUES, _OPERATORS, _VALUES),
    st.builds("({} {} {}) {} {}".format, _ATOMS, _OPERATORS, _ATOMS, _OPERATORS, _ATOMS),
    st.builds("{}({})".format, _CALLS, _VALUES),
    st.builds("{}({}({}))".format, _CALLS, _OF_COLLECTIONS, _collections(_ATOMS)),
    st.builds("{}({})".format, st.sampled_from(["bin", "hex", "oct", "chr", "float"]), _INTS),
    st.builds("({}).{}".format, _VALUES, _METHODS),
    st.builds("({}){}".format, _VALUES, _PLACES),
    st.builds("'{{:{}}}'.format({})".format, _SPECS, _VALUES),
    st.builds("'{}' % ({},)".format, _PERCENTS, _VALUES),
    st.builds("[x {} {} for x in {}]".format, _OPERATORS, _ATOMS, _collections(_ATOMS)),
    st.builds("isinstance({}, ({}, {}))".format, _VALUES, *[st.sampled_from(
        ["int", "float", "str", "bool", "list", "dict", "set", "tuple", "bytes"])] * 2),
    _VALUES,
)  # fmt: skip
_KINDS = (
    *(each.map("print({})".format) for each in _EXPRESSIONS),
    st.builds("x = {}\nprint(x, [x])\nx += {}\nprint(x)".format, _VALUES, _VALUES),
    st.builds("try:\n    print({})\nexcept Exception as e:\n    print(type(e), e)".format,
              st.one_of(*_EXPRESSIONS)),
    st.builds("for x in {}:\n    print(x, {})".format, _collections(_ATOMS), _ATOMS),
    st.builds("x = {}\nx[{}] = {}\nprint(x)".format, _collections(_ATOMS), _ATOMS, _ATOMS),
    st.builds("x = {}\ndel x[{}]\nprint(x)".format,
              _collections(_ATOMS).filter(lambda x: x != "[]"), _ATOMS),
    st.builds("a, b = {}\nprint(b, a)".format, _VALUES),
    st.builds("import json\nprint(json.dumps({}))".format, _VALUES),
    st.builds("import json\nprint(json.loads({!r}))".format, st.lists(st.sampled_from(
        ["{", "}", "[", "]", ",", ":", '"a"', '"b"', "1", "2.5", "true", "null", " ", "-3"]),
        min_size=1, max_size=7).map("".join)),
    st.builds("import struct\nprint(struct.pack({!r}, {}))".format, st.sampled_from(
        ["B", "<h", ">H", "b", "<f", ">i", "BB", "<I"]), _ATOMS),
    st.builds("from array import array\na = array({!r}, {})\na.append({})\nprint(a)".format,
              st.sampled_from("bBhHif"), st.lists(_INTS, max_size=3), _ATOMS),
    st.builds("x = bytearray({})\nx[0] = {}\nprint(x)".format, _VALUES, _ATOMS),
    st.builds("def f({}):\n    return a\nprint(f({}))".format, st.sampled_from(
        ["a", "a, b", "a=1", "*a", "**a", "b, a=5", "a, *b"]), st.tuples(
        st.lists(_ATOMS, max_size=2), st.lists(_ATOMS.map("b={}".format), max_size=1)).map(
        lambda given: ", ".join(given[0] + given[1]))),
    st.builds("print(f'{{{}:{}}}|')".format, _ATOMS.filter(lambda a: "'" not in a), _SPECS),
)  # fmt: skip


def drawn(count: int) -> list[str]:
    """Draw so many programs of each kind, always the same ones with the same hypothesis."""
    return [text for kind in _KINDS for text in _drawn(kind, count)]


def _drawn(kind: st.SearchStrategy[str], count: int) -> list[str]:
    found: dict[str, None] = {}

    @settings(
        max_examples=4 * count, derandomize=True, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(kind)
    def draw(text: str) -> None:
        found[text] = None

    draw()
    # The simplest come first, and those that follow are like them: taken from all along.
    return list(found)[:: max(1, len(found) // count)][:count]
