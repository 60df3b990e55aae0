"""Names: what the board's modules and classes offer, read from the files that programs import."""

from __future__ import annotations

import ast
import functools
from pathlib import Path

from .engines import SHIMS
from .engines.offered import NAMES

__all__ = ["hides", "names_of", "unheard"]

_BUILT_IN: dict[str, type] = {
    kind.__name__: kind for kind in (str, bytes, bytearray, list, tuple, dict, set, int, float)
}
_NOT_THERE = frozenset(
    "capitalize casefold expandtabs format_map isalnum isascii isdecimal isidentifier isnumeric "
    "isprintable istitle ljust maketrans removeprefix removesuffix rjust swapcase title translate "
    "zfill as_integer_ratio bit_count bit_length conjugate denominator fromhex hex imag is_integer "
    "numerator real".split()
)
"""Methods of built-in types that the board leaves out (the real interpreter's `dir`, run)."""

_BEFORE_FILES = frozenset({"cmath", "gc", "math", "micropython", "sys"})
"""Modules that the board looks for in itself first; of others a file of that name comes first."""


def hides(file: str) -> str:
    """Give the board's own module that no program can import once this file is there; or ""."""
    module = file.removesuffix(".py")
    return module if module in names_of("") - _BEFORE_FILES else ""


def unheard(file: str) -> str:
    """Give the board's own module that is imported in place of this file; or ""."""
    module = file.removesuffix(".py")
    return module if module in _BEFORE_FILES else ""


@functools.cache
def names_of(owner: str) -> frozenset[str]:
    """Give the public names of a module or class of the board; of "" the modules themselves."""
    if owner in _BUILT_IN:
        public = {name for name in dir(_BUILT_IN[owner]) if name[0] != "_"}
        return frozenset(public - _NOT_THERE)
    return _all().get(owner, frozenset())


@functools.cache
def _all() -> dict[str, frozenset[str]]:
    found: dict[str, frozenset[str]] = {}
    for path in (*sorted(SHIMS.glob("*.py")), *sorted(SHIMS.glob("*/*.py"))):
        module = path.stem.removeprefix("board_")
        found |= _read(path, module)
    for module, names in NAMES.items():
        own = {"json": "dump dumps load loads", "collections": "deque", "sys": "argv path platform "
               "maxsize version version_info implementation print_exception",
               "struct": "pack pack_into unpack unpack_from"}  # fmt: skip
        if module not in found:
            found[module] = frozenset(f"{names} {own.get(module, '')}".split())
    within = {path.stem for path in SHIMS.glob("*/*.py")} | {"flash"}
    inner = {name for name in found if name[0] in "_ABCDEFGHIJKLMNOPQRSTUVWXYZ" or name in within}
    found[""] = frozenset(found) - inner
    return found


def _read(path: Path, module: str) -> dict[str, frozenset[str]]:
    """Read a module's names and, under theirs, those of its classes."""
    top: set[str] = set()
    found: dict[str, frozenset[str]] = {}
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        top |= _names(node)
        if isinstance(node, ast.ClassDef) and node.name[0] != "_":
            inner = {name for part in node.body for name in _names(part)}
            bases = [found.get(ast.unparse(base), frozenset()) for base in node.bases]
            found[node.name] = frozenset(inner).union(*bases)
    found[module] = frozenset(top)
    return found


def _names(node: ast.stmt) -> set[str]:
    if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)):
        names = {node.name}
    elif isinstance(node, ast.Assign):
        names = {ast.unparse(target) for target in node.targets}
    elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith(("_", "board_", "io")):
        names = {alias.name for alias in node.names}
    else:
        names = set()
    return {name for name in names if name.isidentifier() and name[0] != "_"}
