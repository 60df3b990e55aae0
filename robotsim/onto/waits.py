"""Waits: loops that never sleep, waits without end, sleeps where nothing may sleep."""

from __future__ import annotations

import ast
from collections.abc import Iterator

from .advice import Advice, source_line
from .files import called, parsed

__all__ = ["look_at_waits"]

_RESTS = frozenset((
    "sleep", "sleep_ms", "sleep_us", "idle", "lightsleep", "deepsleep", "time_pulse_us",
    "wait_msg", "input", "wfi",
))  # fmt: skip
"""Calls in which a board rests, or waits for something outside."""
_CLOCKS = frozenset(("ticks_ms", "ticks_us", "ticks_diff", "ticks_cpu", "time", "time_ns"))
_HANDS_OVER = frozenset(("callback", "handler"))


def look_at_waits(name: str, text: str) -> Iterator[Advice]:
    """Go through one file."""
    tree = parsed(text)
    if tree is None:
        return
    resting = _resting(tree)
    for node in ast.walk(tree):
        told: list[tuple[ast.AST, str, str, bool]] = []
        if isinstance(node, ast.While):
            told += _loop(node, resting)
        elif isinstance(node, ast.AsyncFunctionDef):
            told += _coroutine(node)
        elif isinstance(node, ast.FunctionDef) and node.name in _handlers(tree):
            told += _handler(node)
        elif isinstance(node, ast.Call) and called(node) == "input":
            told.append((node, "nobody sits at the board's console: input() waits for ever.",
                         "put the value into the program, or read a pin.", True))  # fmt: skip
        for at, cause, cure, fails in told:
            line = getattr(at, "lineno", 0)
            yield Advice(name, line, cause, cure, fails, source_line(text, line))


def _within(node: ast.AST) -> Iterator[ast.AST]:
    """Go through what is done in a loop or function itself, not in functions defined there."""
    for child in ast.iter_child_nodes(node):
        if not isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            yield child
            yield from _within(child)


def _resting(tree: ast.Module) -> frozenset[str]:
    """Give the functions that rest, or call one that does."""
    bodies = {
        node.name: list(_within(node))
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    }
    found = set(_RESTS)
    while True:
        more = {n for n, body in bodies.items() if n not in found and _rests(body, found)}
        if not more:
            return frozenset(found)
        found |= more


def _rests(nodes: list[ast.AST], resting: frozenset[str] | set[str]) -> bool:
    # A generator or a coroutine hands the time on; who takes it must rest.
    waits = (ast.Await, ast.Yield, ast.YieldFrom, ast.AsyncFor, ast.AsyncWith)
    return any(isinstance(n, waits) or called(n) in resting for n in nodes)


def _loop(node: ast.While, resting: frozenset[str]) -> Iterator[tuple[ast.AST, str, str, bool]]:
    inside = list(_within(node))
    calls = {called(n) for n in inside}
    leaves = any(isinstance(n, ast.Break | ast.Return | ast.Raise) for n in inside)
    asks = {called(n) for n in ast.walk(node.test)}
    timed = bool(calls & _CLOCKS)
    if _not_connected(node.test) and not leaves and not asks & _CLOCKS:
        yield (
            node,
            "without its network the program waits here for ever.",
            "give each network some seconds, then go on: count in the loop, or compare ticks_ms().",
            False,
        )
    if _rests(inside, resting):
        return
    if calls <= {""}:  # it only computes
        if isinstance(node.test, ast.Constant) and node.test.value and not leaves:
            yield (node, "this loop does nothing for ever; a board is as if switched off.",
                   "put time.sleep_ms(10) into it, or leave it out.", True)  # fmt: skip
        return
    endless = isinstance(node.test, ast.Constant) and bool(node.test.value)
    waits = not timed and not endless and bool(asks - {""})
    what = "waits without a sleep" if waits or asks & _CLOCKS else "never sleeps"
    yield (node, f"this loop {what}: the board works at full power, nothing else gets its turn.",
           "put time.sleep_ms(1) or more into it.", endless and not leaves)  # fmt: skip


def _not_connected(test: ast.expr) -> bool:
    """Tell whether a loop goes on while a network is not joined."""
    return any(
        isinstance(n, ast.UnaryOp)
        and isinstance(n.op, ast.Not)
        and any(called(inner) == "isconnected" for inner in ast.walk(n.operand))
        for n in ast.walk(test)
    )


def _coroutine(node: ast.AsyncFunctionDef) -> Iterator[tuple[ast.AST, str, str, bool]]:
    """A sleep that is not awaited stops all tasks."""
    awaited = {id(n.value) for n in ast.walk(node) if isinstance(n, ast.Await)}
    handed = {id(a) for n in ast.walk(node) if isinstance(n, ast.Call) for a in n.args}
    for inner in _within(node):
        if called(inner) not in ("sleep", "sleep_ms", "sleep_us") or id(inner) in awaited | handed:
            continue
        yield (inner, "a sleep in a task that is not awaited stops every other task as well.",
               "write await asyncio.sleep_ms(...).", True)  # fmt: skip


def _handlers(tree: ast.Module) -> frozenset[str]:
    """Give the functions that are handed over as callbacks."""
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            given = [word.value for word in node.keywords if word.arg in _HANDS_OVER]
            if called(node) == "irq" and node.args:
                given.append(node.args[0])
            found |= {value.id for value in given if isinstance(value, ast.Name)}
    return frozenset(found)


def _handler(node: ast.FunctionDef) -> Iterator[tuple[ast.AST, str, str, bool]]:
    for inner in _within(node):
        if called(inner) in ("sleep", "sleep_ms", "wait_msg", "connect"):
            yield (inner, f"{called(inner)}() in a callback holds up the whole program.",
                   "note in the callback what happened, and act on it in the main loop.",
                   True)  # fmt: skip
