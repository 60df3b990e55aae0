"""Files: which of a learner's files a program needs, as it imports them, and how they are read."""

from __future__ import annotations

import ast
import functools
from collections.abc import Mapping
from pathlib import Path

from ..errors import unreadable

__all__ = ["called", "does_nothing", "needed", "parsed", "program_files"]


@functools.lru_cache(maxsize=64)
def parsed(text: str) -> ast.Module | None:
    """Give a program's syntax tree, to be read only; None if it has none."""
    try:
        return ast.parse(text)
    except (SyntaxError, ValueError, MemoryError, RecursionError):
        return None


def called(node: ast.AST) -> str:
    """Give the last name of what a call calls; "" where the node is no such call."""
    func = node.func if isinstance(node, ast.Call) else None
    return str(getattr(func, "attr", getattr(func, "id", "")))


def does_nothing(text: str) -> bool:
    """Tell whether a program has no line that does anything: empty, or remarks alone."""
    tree = parsed(text)
    return tree is not None and all(map(_is_idle, tree.body))


def _is_idle(node: ast.stmt) -> bool:
    text = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    return text or isinstance(node, ast.Pass)


def needed(program: str, files: Mapping[str, str]) -> tuple[str, ...]:
    """Give the names of the files that a program is made of, itself first.

    What a board runs before it, `boot.py`, belongs to it.
    """
    found: list[str] = []
    waiting = [program] + [name for name in ("boot.py",) if name in files and name != program]
    while waiting:
        name = waiting.pop(0)
        if name in found:
            continue
        found.append(name)
        tree = parsed(files[name])
        for node in ast.walk(tree) if tree else ():
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and node.module:
                names = [node.module]
            waiting += [f for n in names if (f := n.split(".")[0] + ".py") in files]
    return tuple(found)


def program_files(program: Path) -> dict[str, str]:
    """Read the program and the other programs in its folder.

    Raises:
        KitError: The program cannot be read.
    """
    files = {}
    for path in sorted({program, *program.parent.glob("*.py")}):
        try:
            files[path.name] = path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as fault:
            if path == program:  # the others may be anything
                hint = "look at the file's name and folder."
                raise unreadable("The program", program, fault, hint) from fault
    return files
