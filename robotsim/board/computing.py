"""Computing: what a program's statements cost the board, put into its text as counting calls.

The host reads a program before the board gets it, reckons what each statement takes, and writes
a call before it **on the same line**: `x = y + 1` becomes `__spent__(9,0,17);x = y + 1`.  Lines and
tracebacks stay true, both engines count the same, and what was counted travels with the program's
next message.  A run of statements that call nothing is counted at its first one; conditions,
loops and comprehensions count each time they are looked at.  What one built-in call does inside
(`sum` of a long list) is not seen: it counts as one call, and is caught by the wall clock alone.

*Source*: sizes from memory of what such boards show: a loop of a few statements under MicroPython
at 160 to 240 MHz runs some 30,000 to 100,000 times a second, a simple statement takes about
10 us; floats are objects that must be made; a collection of a heap of this size takes a few ms.
Held against MicroPython's own benchmarks on such a board: `PARTS.md`, and `tests/published`.
"""

from __future__ import annotations

import ast
import functools
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

__all__ = ["COUNTER", "FREE", "LINE", "counting", "counting_files", "place"]

COUNTER = "__spent__"
"""Name of the built-in that counts; its arguments are microseconds, bytes and the place: which
file it is, and which line (see `place`)."""
LINE = "__line__"
"""Name of the built-in that is told the line, where an interpreter does not know it by itself; what
it is given besides, it gives back."""
FREE = "_kit_"
"""What the kit itself puts into a program has names that begin so, and is not counted."""
_FILE = 1_000_000

_STATEMENT_US = 3.0
_NODE_US: dict[type[ast.AST], float] = {
    ast.Call: 12.0,
    ast.Attribute: 2.5,
    ast.Subscript: 4.0,
    ast.BinOp: 5.0,
    ast.UnaryOp: 2.0,
    ast.BoolOp: 1.5,
    ast.Compare: 4.0,
    ast.Name: 1.0,
    ast.Constant: 0.5,
    ast.List: 8.0,
    ast.Tuple: 6.0,
    ast.Dict: 12.0,
    ast.Set: 12.0,
    ast.JoinedStr: 25.0,
    ast.FormattedValue: 25.0,
    ast.Yield: 5.0,
    ast.Await: 10.0,
    ast.Import: 1000.0,
    ast.ImportFrom: 1000.0,
    ast.Raise: 25.0,
}
"""What a piece of syntax takes, in us."""
_FLOAT_US, _FLOAT_BYTES = 6.0, 16
"""Added where the text shows that a float is made: a point in a number, a division."""
_BYTES: dict[type[ast.AST], int] = {
    ast.List: 32, ast.Tuple: 32, ast.Dict: 64, ast.Set: 64, ast.JoinedStr: 48, ast.ListComp: 32,
    ast.Call: 8,
}  # fmt: skip
_ROUND_US, _ENTERED_US, _DEFINED_US, _CAUGHT_US = 5.0, 6.0, 10.0, 40.0
"""Going round a loop once more, entering a function, making one, catching an exception."""
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n|$)")
"""A line with its end, as the language counts lines."""
_SIMPLE = (
    ast.Assign, ast.AugAssign, ast.AnnAssign, ast.Expr, ast.Return, ast.Delete, ast.Raise,
    ast.Assert, ast.Pass, ast.Break, ast.Continue, ast.Import, ast.ImportFrom, ast.Global,
    ast.Nonlocal,
)  # fmt: skip
_LOOSE = (ast.Lambda, ast.NamedExpr, ast.Starred, ast.Yield, ast.YieldFrom)
"""Expressions before which nothing can be put with `or`."""
_HEADS = ("test", "iter", "subject")
_IDLE = {ast.Load, ast.Store, ast.Del, ast.Add, ast.Sub, ast.Mult, ast.Div}
_REACHING = {ast.Call, ast.Await, ast.Yield, ast.YieldFrom}
"""What may reach the board: the statements behind it are counted when it has come back."""
_APART = {
    "abs", "bool", "bytearray", "bytes", "dict", "enumerate", "float", "int", "len", "list", "max",
    "min", "range", "round", "sorted", "str", "sum", "tuple", "zip",
}  # fmt: skip
"""Built-ins that only compute."""


@dataclass
class _Cost:
    """What some syntax takes, added up; `calls` says whether it may reach the board."""

    us: float = 0.0
    size: int = 0
    calls: bool = False


def _makes_float(node: ast.BinOp) -> bool:
    return isinstance(node.op, ast.Div) or any(
        isinstance(side, ast.Constant) and isinstance(side.value, float)
        for side in (node.left, node.right)
    )


class _Counted:
    """Goes through a program and gathers where a counting call belongs, and what it counts."""

    def __init__(self, scale: float, file: int, lines: bool) -> None:
        self.scale, self.file, self.lines = scale, file, lines
        self.calls: list[tuple[int, int, int, str]] = []  # line, column, rank there, text

    def _put(self, node: ast.stmt | ast.expr, cost: _Cost, joint: str) -> None:
        us = max(1, round(cost.us * self.scale))
        self._call(node, f"{COUNTER}({us},{cost.size},{self._place(node)}){joint}", 1)

    def _call(self, node: ast.stmt | ast.expr, call: str, rank: int) -> None:
        self.calls.append((node.lineno, node.col_offset, rank, call))

    def _place(self, node: ast.stmt | ast.expr) -> int:
        return self.file * _FILE + node.lineno

    def _tell(self, node: ast.stmt | ast.expr, joint: str) -> None:
        """Have a statement or a condition tell its line, if it is asked, and after a call again."""
        if not self.lines:
            return
        self._call(node, f"{LINE}({self._place(node)}){joint}", 0)
        for inner in _reaching(node):
            if inner is not node and inner is not getattr(node, "value", None):
                self._call(inner, f"{LINE}({self._place(node)},", 2)
                self.calls.append((inner.end_lineno or 0, inner.end_col_offset or 0, 0, ")"))

    def block(self, body: list[ast.stmt], cost: _Cost, *, text: bool = False) -> None:
        """Count a block of statements.

        Args:
            body: The statements.
            cost: What was spent on the way to it, and is to be counted with the first of them.
            text: Whether a text that stands first is a docstring, before which nothing may stand.
        """
        first: ast.stmt | None = None
        for number, statement in enumerate(body):
            if not number and (text and _is_text(statement)) or _must_be_first(statement):
                continue
            if _is_free(statement):
                continue
            simple = isinstance(statement, _SIMPLE)
            if simple:
                first = first or statement
                cost.us += _STATEMENT_US
                self._reckon(statement, cost)
                self._tell(statement, ";")
            if first is not None and (cost.calls or not simple):
                self._put(first, cost, ";")
                first, cost = None, _Cost()
            if not simple:
                cost = self._compound(statement, cost)
        if first is not None:
            self._put(first, cost, ";")

    def _compound(self, statement: ast.stmt, cost: _Cost) -> _Cost:
        """Count a statement with a body; gives what could not be put down yet."""
        cost.us += _STATEMENT_US
        if isinstance(statement, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)):
            cost.us += _DEFINED_US
            self.block(statement.body, _Cost(_ENTERED_US), text=True)
            return cost
        head = next((h for name in _HEADS if (h := getattr(statement, name, None))), None)
        if isinstance(statement, (ast.With, ast.AsyncWith)):
            head = statement.items[0].context_expr
        if head is not None:
            self._reckon(head, cost)
            # What is always true is counted by the first statement of each round.
            if not (_loose(head) or isinstance(head, ast.Constant)):
                self._put(head, cost, " or ")
                self._tell(head, " or ")
                cost = _Cost()
        if isinstance(statement, (ast.For, ast.AsyncFor, ast.While)):
            cost.us += _ROUND_US
        for name in ("body", "orelse", "finalbody"):
            self.block(getattr(statement, name, None) or [], cost)
            cost = _Cost()
        for inner in (*getattr(statement, "handlers", ()), *getattr(statement, "cases", ())):
            self.block(inner.body, _Cost(_CAUGHT_US))
        return _Cost()

    def _reckon(self, top: ast.AST, cost: _Cost) -> None:
        """Add what some syntax takes; what is gone through again and again counts by itself."""
        waiting = [top]
        while waiting:
            node = waiting.pop()
            kind = type(node)
            if kind in _IDLE:
                continue
            if isinstance(node, ast.Call) and getattr(node.func, "id", "").startswith(FREE):
                waiting.extend(node.args)
                continue
            cost.us += _NODE_US.get(kind, 0.0)
            cost.size += _BYTES.get(kind, 0)
            if kind in _REACHING:
                cost.calls = True
            if isinstance(node, ast.BinOp) and _makes_float(node):
                cost.us, cost.size = cost.us + _FLOAT_US, cost.size + _FLOAT_BYTES
            if isinstance(node, (ast.ListComp, ast.SetComp, ast.GeneratorExp)):
                conditions = [test for each in node.generators for test in each.ifs]
                self._again(node.elt, _ROUND_US, conditions)
                waiting.append(node.generators[0].iter)
            elif isinstance(node, ast.Lambda):
                self._again(node.body, _ENTERED_US, [])
            else:
                waiting.extend(ast.iter_child_nodes(node))

    def _again(self, node: ast.expr, us: float, others: Iterable[ast.expr]) -> None:
        """Count an expression each time it is worked out."""
        each = _Cost(us)
        for one in (node, *others):
            self._reckon(one, each)
        if not _loose(node):
            self._put(node, each, " or ")
            self._tell(node, " or ")


def _reaching(top: ast.AST) -> Iterator[ast.expr]:
    """Go through the calls that may reach the board; not into texts, whose parts have no place."""
    waiting = [top]
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.JoinedStr):
            continue
        waiting.extend(ast.iter_child_nodes(node))
        if isinstance(node, ast.Await) or (
            isinstance(node, ast.Call) and getattr(node.func, "id", "") not in _APART
        ):
            yield node


def _loose(node: ast.expr) -> bool:
    """Tell whether nothing can be put before an expression with `or`."""
    first = node.elts[0] if isinstance(node, ast.Tuple) and node.elts else node
    return isinstance(node, _LOOSE) or isinstance(first, _LOOSE)


def _is_text(statement: ast.stmt) -> bool:
    return (
        isinstance(statement, ast.Expr)
        and isinstance(statement.value, ast.Constant)
        and isinstance(statement.value.value, str)
    )


def _is_free(statement: ast.stmt) -> bool:
    if isinstance(statement, ast.Import):
        return (statement.names[0].asname or "").startswith(FREE)
    return getattr(statement, "name", "").startswith(FREE)


def _must_be_first(statement: ast.stmt) -> bool:
    return isinstance(statement, ast.ImportFrom) and statement.module == "__future__"


@functools.lru_cache(maxsize=512)
def counting(text: str, scale: float = 1.0, file: int = 0, lines: bool = False) -> str:
    """Give a program's text with its counting calls.

    Args:
        text: The program.  One that is no Python comes back as it is: the board will say so.
        scale: How many times as long everything takes as on the board of the tug as drawn.
        file: Its place among the board's files.
        lines: Whether it is also to tell its lines.
    """
    try:
        tree = ast.parse(text)
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        return text
    counted = _Counted(scale, file, lines)
    try:
        counted.block(tree.body, _Cost(), text=True)
    except RecursionError:
        return text
    rows = [line.encode("utf-8", "surrogatepass") for line in _LINE.findall(text)]
    for line, column, _, call in sorted(counted.calls, reverse=True):
        row = rows[line - 1]
        rows[line - 1] = row[:column] + call.encode("ascii") + row[column:]
    return b"".join(rows).decode("utf-8", "surrogatepass")


def counting_files(
    files: Mapping[str, str], scale: float = 1.0, lines: bool = False
) -> dict[str, str]:
    """Give the programs among a board's files with their counting calls, name to text."""
    texts = enumerate(files.items())
    return {n: counting(text, scale, k, lines) for k, (n, text) in texts if n.endswith(".py")}


def place(files: Mapping[str, str], number: int) -> tuple[str, int]:
    """Give the file and the line that a counting call has named; "" and 0 where there is none."""
    file, line = divmod(number, _FILE)
    return (list(files)[file], line) if 0 <= file < len(files) and line else ("", 0)
