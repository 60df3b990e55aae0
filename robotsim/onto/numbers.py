"""Numbers: what a board's 32-bit floats, its small memory and its scales make of a program."""

from __future__ import annotations

import ast
import math
from collections.abc import Iterator, Mapping

from ..wiring import FULL_DUTY, duty_share
from .advice import Advice, source_line
from .files import called, parsed

__all__ = ["HEAP_FREE", "look_at_numbers"]

HEAP_FREE = 100_000
"""Bytes that a program has on a board of this kind without extra memory.

*Source*: 101 563 bytes of heap by default (MicroPython's pull request 7963, read); newer
versions begin with 64 000 and grow as far as the network leaves room (pull request 12141, read).
"""
_SLOT = 4
"""Bytes of a place in a list on a 32-bit board."""
_FLOAT_DIGITS = 7
"""Decimal digits that a 32-bit float keeps (IEEE 754 binary32: 24 bits, 7.2 digits)."""


def look_at_numbers(name: str, text: str) -> Iterator[Advice]:
    """Go through one file."""
    tree = parsed(text)
    if tree is None:
        return
    constants = _constants(tree)
    for node in ast.walk(tree):
        for cause, cure, fails in (
            *_precise(node, text), *_equal(node), *_clock(node), *_large(node, constants),
            *_scale(node),
        ):  # fmt: skip
            line = getattr(node, "lineno", 0)
            yield Advice(name, line, cause, cure, fails, source_line(text, line))


Told = Iterator[tuple[str, str, bool]]


def _precise(node: ast.AST, text: str) -> Told:
    if isinstance(node, ast.Constant) and isinstance(node.value, float):
        written = ast.get_source_segment(text, node) or ""
        digits = written.lower().partition("e")[0].replace("_", "").replace(".", "").strip("0")
        if len(digits) > _FLOAT_DIGITS:
            yield (f"the board's floats keep about {_FLOAT_DIGITS} digits of {written}.",
                   "write what is needed, or compute in whole numbers (ints are exact).",
                   False)  # fmt: skip


def _equal(node: ast.AST) -> Told:
    if not isinstance(node, ast.Compare):
        return
    sides = [node.left, *node.comparators]
    exact = any(isinstance(op, ast.Eq | ast.NotEq) for op in node.ops)
    if exact and any(
        isinstance(s, ast.Constant) and isinstance(s.value, float) and not s.value.is_integer()
        for s in sides
    ):
        yield ("a float is rarely equal to another, and on the board less often still.",
               "ask whether they are near: abs(a - b) < 0.001.", False)  # fmt: skip


def _clock(node: ast.AST) -> Told:
    """Time as a float: seconds of a clock that counts whole ones, microseconds cut to 24 bits."""
    if not isinstance(node, ast.BinOp):
        return
    names = {called(node.left), called(node.right)}
    if isinstance(node.op, ast.Sub) and "time" in names:
        yield ("the board's time.time() counts whole seconds.",
               "use time.ticks_ms() and time.ticks_diff().", False)  # fmt: skip
    elif isinstance(node.op, ast.Sub) and names & {"ticks_ms", "ticks_us", "ticks_cpu"}:
        yield ("the board's ticks begin again at 0 after 2^30; then a plain difference is wrong.",
               "use time.ticks_diff(later, earlier).", False)  # fmt: skip
    elif isinstance(node.op, ast.Div) and called(node.left) in ("ticks_us", "ticks_cpu"):
        yield ("as a 32-bit float, microseconds since the start lose their last digits after 17 s.",
               "take ticks_diff() first, and divide that.", False)  # fmt: skip


def _constants(tree: ast.Module) -> Mapping[str, int]:
    """Give the whole numbers that names stand for throughout the file."""
    seen: dict[str, set[int]] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign) and len(node.targets) == 1:
            target = node.targets[0]
            if isinstance(target, ast.Name):
                value = _whole(node.value, {})
                seen.setdefault(target.id, set()).add(-1 if value is None else value)
    return {name: next(iter(v)) for name, v in seen.items() if len(v) == 1 and min(v) >= 0}


def _whole(node: ast.AST, constants: Mapping[str, int]) -> int | None:
    """Give the whole number that an expression comes to, None where that is not plain."""
    if isinstance(node, ast.Constant):
        return node.value if type(node.value) is int else None
    if isinstance(node, ast.Name):
        return constants.get(node.id)
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mult | ast.Add):
        sides = _whole(node.left, constants), _whole(node.right, constants)
        if sides[0] is not None and sides[1] is not None:
            product = sides[0] * sides[1]
            return product if isinstance(node.op, ast.Mult) else sides[0] + sides[1]
    return None


def _large(node: ast.AST, constants: Mapping[str, int]) -> Told:
    """One thing that takes a large part of the board's memory, by its own account."""
    size = _bytes(node, constants)
    if size is None or size < HEAP_FREE / 3:
        return
    room = f"a board of this kind has about {HEAP_FREE // 1000} kB for everything"
    if size >= HEAP_FREE:
        yield (f"this takes {size // 1000} kB, and {room}: MemoryError.",
               "keep less at a time: a smaller buffer, a line at a time.", True)  # fmt: skip
    else:
        yield (f"this takes {size // 1000} kB in one piece, and {room}.",
               "make it once, at the beginning, or make it smaller.", False)  # fmt: skip


def _bytes(node: ast.AST, constants: Mapping[str, int]) -> int | None:
    if called(node) in ("bytearray", "bytes") and isinstance(node, ast.Call) and node.args:
        return _whole(node.args[0], constants)
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mult):
        for what, times in ((node.left, node.right), (node.right, node.left)):
            count = _whole(times, constants)
            if count is None:
                continue
            if isinstance(what, ast.List):
                return count * len(what.elts) * _SLOT
            if isinstance(what, ast.Constant) and isinstance(what.value, str | bytes):
                return count * len(what.value)
    return None


def _scale(node: ast.AST) -> Told:
    """Duties as small, or as large, as those of another scale."""
    if not isinstance(node, ast.Call):
        return
    given: dict[str, ast.expr] = {w.arg: w.value for w in node.keywords if w.arg}
    name = called(node)
    if name in ("duty", "duty_u16", "duty_ns") and node.args:
        given[name] = node.args[0]
    value = _whole(given["duty_u16"], {}) if "duty_u16" in given else None
    if value is not None and 0 < value <= 1023:
        yield (f"duty_u16 counts to 65535: {value} is {100 * duty_share(value):.1f} % of the time.",
               f"for a duty counted to 1023 write duty({value}); for {value / 10.23:.0f} % "
               f"duty_u16({round(value * FULL_DUTY / 1023)}).", False)  # fmt: skip
    if name == "PWM" and not any(word.startswith("duty") for word in given) and len(node.args) < 3:
        yield ("without a duty this PWM begins at 50 %, and a motor jumps.",
               "write PWM(Pin(...), freq=1000, duty_u16=0).", False)  # fmt: skip


assert math.log10(2**24) > _FLOAT_DIGITS
