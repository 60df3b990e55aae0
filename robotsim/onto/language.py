"""Language: constructs that compile on a board and then do something else than in Python.

Each was tried under the real interpreter; the tests hold that it is still so.
"""

from __future__ import annotations

import ast
import string
from collections.abc import Iterator

from .advice import Advice, source_line
from .files import parsed

__all__ = ["look_at_language"]

_TAKES_STEPS = (ast.List, ast.ListComp)
_DICT_VIEWS = ("items", "keys", "values")


def look_at_language(name: str, text: str) -> Iterator[Advice]:
    """Go through one file."""
    tree = parsed(text)
    if tree is None:
        return
    dicts = _dicts(tree)
    for node in ast.walk(tree):
        for cause, cure, fails in (*_slices(node), *_patterns(node), *_classes(node),
                                   *_order(node, dicts)):  # fmt: skip
            line = getattr(node, "lineno", 0)
            yield Advice(name, line, cause, cure, fails, source_line(text, line))


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
