"""Language: constructs that compile on a board and then do something else than in Python.

Each was tried under the real interpreter; the tests hold that it is still so.
"""

from __future__ import annotations

import ast
import io
import string
import tokenize
from collections.abc import Iterator

from .advice import Advice, source_line
from .files import parsed

__all__ = ["look_at_language"]

_TAKES_STEPS = (ast.List, ast.ListComp)
_DICT_VIEWS = ("items", "keys", "values")
_NEVER_ASKED = frozenset(
    "__format__ __index__ __missing__ __round__ __bytes__ __trunc__ __floor__ __ceil__ "
    "__getattribute__ __class_getitem__ __init_subclass__ __post_init__".split()
)
"""Methods that ordinary Python calls by itself (the real interpreter, run)."""


def look_at_language(name: str, text: str) -> Iterator[Advice]:
    """Go through one file."""
    tree = parsed(text)
    if tree is None:
        return
    dicts, ranges, functions = _dicts(tree), _ranges(tree), _functions(tree)
    for node in ast.walk(tree):
        for cause, cure, fails in (*_slices(node), *_patterns(node), *_classes(node),
                                   *_order(node, dicts), *_ranges_compared(node, ranges),
                                   *_noted_on(node, functions), *_own_names(node)):  # fmt: skip
            line = getattr(node, "lineno", 0)
            yield Advice(name, line, cause, cure, fails, source_line(text, line))
    yield from _characters(name, text)


Told = Iterator[tuple[str, str, bool]]


def _slices(node: ast.AST) -> Told:
    """Slices that skip or run backwards: lists only."""
    if not isinstance(node, ast.Subscript) or not isinstance(node.slice, ast.Slice):
        return
    step = node.slice.step
    if step is None or (isinstance(step, ast.Constant) and step.value in (None, 1)):
        return
    value = node.value
    if isinstance(node.ctx, ast.Del):
        yield ("the board cannot delete a slice with a step: NotImplementedError.",
               "delete one item after the other.", True)  # fmt: skip
    elif isinstance(value, _TAKES_STEPS) or _calls(value, "list", "sorted"):
        return
    else:
        sure = isinstance(value, ast.Constant | ast.JoinedStr | ast.Tuple) or _calls(
            value, "str", "bytes", "tuple", "bytearray"
        )
        yield ("the board slices text, bytes and tuples with step 1 only: NotImplementedError."
               + ("" if sure else " (Of a list it does.)"),
               "make a list of it first, list(x)[::-1], or use reversed(x).", sure)  # fmt: skip


def _calls(node: ast.expr, *names: str) -> bool:
    return isinstance(node, ast.Call) and getattr(node.func, "id", "") in names


def _patterns(node: ast.AST) -> Told:
    """Patterns that look into what they are given."""
    if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
        return
    pattern = node.func.value
    if node.func.attr != "format" or not isinstance(pattern, ast.Constant):
        return
    try:
        fields = [field for _, field, _, _ in string.Formatter().parse(str(pattern.value)) if field]
    except ValueError:
        return
    for field in fields:
        if "[" in field or "." in field:
            yield (f"the board's format() cannot look into a value, as {{{field}}} does: "
                   "NotImplementedError.", "take the value out before, and give it as it is.",
                   True)  # fmt: skip


def _classes(node: ast.AST) -> Told:
    if isinstance(node, ast.ClassDef) and node.keywords:
        yield ("the board's classes take no keywords: TypeError.",
               "leave out what stands with = in the class's line.", True)  # fmt: skip


    if isinstance(node, ast.ClassDef):
        for inner in node.body:
            told = getattr(inner, "name", "")
            if told in _NEVER_ASKED:
                yield (f"the board never calls {told}() of an object.",
                       "give the method a name of your own, and call it by that.",
                       False)  # fmt: skip


def _functions(tree: ast.Module) -> frozenset[str]:
    """Give the names that only ever stand for a function."""
    made = {n.name for n in tree.body if isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef)}
    return frozenset(made - _set_names(tree))


def _set_names(tree: ast.Module) -> set[str]:
    nodes = (n for n in ast.walk(tree) if isinstance(n, ast.Name))
    return {node.id for node in nodes if isinstance(node.ctx, ast.Store)}


def _noted_on(node: ast.AST, functions: frozenset[str]) -> Told:
    """Attributes of a function's own."""
    if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store):
        if getattr(node.value, "id", "") in functions:
            yield ("a function has no attributes of its own on the board: AttributeError.",
                   "keep it in a global variable, or make a class of it.", True)  # fmt: skip


def _ranges(tree: ast.Module) -> frozenset[str]:
    """Give the names that are ever set to a range."""
    pairs = ((n.value, n.targets) for n in ast.walk(tree) if isinstance(n, ast.Assign))
    return frozenset(
        target.id
        for value, targets in pairs
        for target in targets
        if _calls(value, "range") and isinstance(target, ast.Name)
    )


def _ranges_compared(node: ast.AST, ranges: frozenset[str]) -> Told:
    if not isinstance(node, ast.Compare) or not isinstance(node.ops[0], ast.Eq | ast.NotEq):
        return
    sides = (node.left, node.comparators[0])
    if all(_calls(side, "range") or getattr(side, "id", "") in ranges for side in sides):
        yield ("on the board two ranges are equal only if they are the same one.",
               "compare lists: list(a) == list(b).", False)  # fmt: skip


def _own_names(node: ast.AST) -> Told:
    if isinstance(node, ast.Call) and _calls(node, "dir") and not node.args:
        yield ("dir() lists other names on a board than here.",
               "print the values that you want to see.", False)  # fmt: skip


def _characters(name: str, text: str) -> Iterator[Advice]:
    """Characters by their Unicode name, which no tree shows any more."""
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        start = token.string.partition("\\N{")[0]
        if start != token.string and token.type != tokenize.COMMENT and "r" not in start[:2]:
            line = token.start[0]
            yield Advice(
                name, line, "the board knows no characters by name: NotImplementedError.",
                "write the character itself, or its number: '\\u2022'.", True,
                source_line(text, line),
            )  # fmt: skip


def _dicts(tree: ast.Module) -> frozenset[str]:
    """Give the names that are only ever set to a dict with several items."""
    kinds: dict[str, set[bool]] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign):
            value = node.value
            several = (isinstance(value, ast.Dict) and len(value.keys) > 1) or (
                isinstance(value, ast.Call)
                and getattr(value.func, "id", "") == "dict"
                and len(value.keywords) > 1
            )
            for target in node.targets:
                if isinstance(target, ast.Name):
                    kinds.setdefault(target.id, set()).add(several)
    return frozenset(name for name, seen in kinds.items() if seen == {True})


def _order(node: ast.AST, dicts: frozenset[str]) -> Told:
    """Loops over a dict: on the board its items come in any order."""
    if not isinstance(node, ast.For | ast.comprehension | ast.AsyncFor):
        return
    over = node.iter
    if isinstance(over, ast.Call) and isinstance(over.func, ast.Attribute):
        if over.func.attr in _DICT_VIEWS:
            over = over.func.value
    if (isinstance(over, ast.Name) and over.id in dicts) or (
        isinstance(over, ast.Dict) and len(over.keys) > 1
    ):
        yield ("on the board a dict gives its items in no order that you can count on.",
               "where the order matters, use a list of pairs: [(key, value), ...].",
               False)  # fmt: skip
