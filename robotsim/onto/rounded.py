"""Rounded: does a program hang on the digits that a board's floats do not have?

A board computes with 32-bit floats, this machine with 64-bit ones.  So the program is run a
second time with every result of its arithmetic cut to 32 bits.  If what comes of it differs
by more than noise would, the line is looked for by halves.
"""

from __future__ import annotations

import ast
import itertools
import math
import re
import struct
from collections.abc import Mapping
from typing import Any

from ..board.computing import FREE
from ..recording import Recording
from ..trial import run_trial
from .advice import Advice, source_line
from .files import parsed

__all__ = ["differs", "look_at_rounding", "rounded"]

_CUT = f"{FREE}cut_to_32_bits"
_HELPER = f"""
import struct as {_CUT}_by
def {_CUT}(value):
    if type(value) is float and -3.4e38 < value < 3.4e38:
        return {_CUT}_by.unpack("f", {_CUT}_by.pack("f", value))[0]
    return value
"""
_APART_M, _APART_RAD = 0.02, math.radians(5)
"""How far two runs may come apart: about what another draw of the sensors' noise would do."""
_COLOUR = 4
_LATER_S = 0.05
_NUMBER = re.compile(r"[-+]?\d+\.?\d*(?:[eE][-+]?\d+)?")
Place = tuple[str, int]
"""File and line."""


def look_at_rounding(
    recording: Recording, names: tuple[str, ...], around: Mapping[str, Any], engine: str
) -> Advice | None:
    """Run the program with its arithmetic cut to 32 bits, and compare.

    Args:
        recording: The run as it is.
        names: The files that the program is made of.
        around: The trial's other arguments.
        engine: What ran it; it must run it again, or what the engines do differently would count.
    """
    around = {**around, "engine": engine}
    files = recording.files
    places = sorted({p for name in names for p in rounded(name, files[name], None)[1]})
    if not places:
        return None
    told = _tried(recording, names, set(places), around)
    if not told:
        return None
    while len(places) > 1:  # which half does it?
        half = places[: len(places) // 2]
        found = _tried(recording, names, set(half), around)
        if not found:
            half = places[len(places) // 2 :]
            found = _tried(recording, names, set(half), around)
        if not found:
            break  # it takes both
        places, told = half, found
    name, line = places[0]
    return Advice(
        name, line, f"a board's floats keep about 7 digits, and the program hangs on more: {told}.",
        "compute in whole numbers (they are exact), or keep small differences of large numbers "
        "out of floats.", False, source_line(files[name], line),
    )  # fmt: skip


def _tried(
    recording: Recording, names: tuple[str, ...], places: set[Place], around: Mapping[str, Any]
) -> str:
    files = dict(recording.files)
    for name in names:
        files[name] = rounded(name, files[name], places)[0]
    return differs(recording, run_trial(files, program=recording.program, **around))


# -- the program, rounded ----------------------------------------------------


def rounded(name: str, text: str, places: set[Place] | None) -> tuple[str, list[Place]]:
    """Give a program whose float arithmetic is cut to 32 bits, and the places where it may be.

    Args:
        name: The file.
        text: The program.
        places: Where to cut; None for everywhere.
    """
    if parsed(text) is None:
        return text, []
    cutter = _Cutter(name, places)
    tree = ast.fix_missing_locations(cutter.visit(ast.parse(text)))
    if not cutter.places:
        return text, []
    return _HELPER + ast.unparse(tree), cutter.places


class _Cutter(ast.NodeTransformer):
    def __init__(self, name: str, places: set[Place] | None) -> None:
        self.name, self.wanted = name, places
        self.places: list[Place] = []

    def _cut(self, node: ast.expr) -> ast.expr:
        place = (self.name, node.lineno)
        self.places.append(place)
        if self.wanted is not None and place not in self.wanted:
            return node
        call = ast.Call(ast.Name(_CUT, ast.Load()), [node], [])
        return ast.copy_location(call, node)

    def visit_BinOp(self, node: ast.BinOp) -> ast.expr:  # noqa: N802
        self.generic_visit(node)
        if isinstance(node.op, ast.Add | ast.Sub | ast.Mult | ast.Div | ast.Pow | ast.Mod):
            return self._cut(node)
        return node

    def visit_Constant(self, node: ast.Constant) -> ast.expr:  # noqa: N802
        if isinstance(node.value, float) and math.isfinite(node.value):
            (short,) = struct.unpack("f", struct.pack("f", max(-3e38, min(node.value, 3e38))))
            place = (self.name, node.lineno)
            self.places.append(place)
            if self.wanted is None or place in self.wanted:
                return ast.copy_location(ast.Constant(short), node)
        return node

    def visit_Call(self, node: ast.Call) -> ast.expr:  # noqa: N802
        self.generic_visit(node)
        func = node.func
        of_math = isinstance(func, ast.Attribute) and getattr(func.value, "id", "") == "math"
        if of_math or getattr(func, "id", "") in ("float", "sum"):
            return self._cut(node)
        return node

    def visit_JoinedStr(self, node: ast.JoinedStr) -> ast.expr:  # noqa: N802
        return node  # what is only printed moves nothing

    def visit_AugAssign(self, node: ast.AugAssign) -> ast.stmt:  # noqa: N802
        self.generic_visit(node)
        if not isinstance(node.target, ast.Name) and not _plain(node.target):
            return node
        read = ast.parse(ast.unparse(node.target), mode="eval").body
        total = ast.copy_location(ast.BinOp(read, node.op, node.value), node)
        return ast.copy_location(ast.Assign([node.target], self._cut(total)), node)


def _plain(node: ast.expr) -> bool:
    """Tell whether a target may be looked up twice."""
    if isinstance(node, ast.Attribute):
        return isinstance(node.value, ast.Name)
    return (
        isinstance(node, ast.Subscript)
        and isinstance(node.value, ast.Name)
        and isinstance(node.slice, ast.Name | ast.Constant)
    )


# -- comparing ---------------------------------------------------------------


def differs(one: Recording, other: Recording) -> str:
    """Say in words where two runs come apart by more than noise; "" where they do not."""
    if other.problem and "recursion" in other.problem.message:
        return ""  # cutting takes calls of its own
    if one.ended != other.ended:
        return f"rounded, its run ends otherwise ({other.ended})"
    for when, lines in enumerate(itertools.zip_longest(one.printed, other.printed)):
        if None in lines:
            return f"rounded, it prints {len(other.printed)} lines in place of {len(one.printed)}"
        (at, text), (_, again) = lines
        if not _same_text(text, again):
            return f"line {when + 1} of the console, at {at:.2f} s, reads {again!r} when rounded"
    apart = zip(*(one.tracks[k] for k in ("t", "x", "y", "heading")),
                *(other.tracks[k] for k in ("x", "y", "heading")), strict=True)  # fmt: skip
    for t, x, y, heading, x2, y2, heading2 in apart:
        if math.hypot(x2 - x, y2 - y) > _APART_M or abs(heading2 - heading) > _APART_RAD:
            return f"rounded, the tug is somewhere else at {t:.2f} s"
    return _lamps_differ(one, other)


def _same_text(one: str, other: str) -> bool:
    if _NUMBER.sub("#", one) != _NUMBER.sub("#", other):
        return False
    pairs = zip(_NUMBER.findall(one), _NUMBER.findall(other), strict=True)
    return all(math.isclose(float(a), float(b), rel_tol=1e-3, abs_tol=2e-3) for a, b in pairs)


def _lamps_differ(one: Recording, other: Recording) -> str:
    pairs = itertools.zip_longest(one.of("lamps"), other.of("lamps"))
    for a, b in pairs:
        if a is None or b is None:
            return "rounded, it sends another number of frames to the lamps"
        shown = zip(sum(a.data[0], ()), sum(b.data[0], ()), strict=True)
        if abs(a.seconds - b.seconds) > _LATER_S or any(abs(p - q) > _COLOUR for p, q in shown):
            return f"rounded, the lamps show something else at {a.seconds:.2f} s"
    return ""
