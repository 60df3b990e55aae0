"""Habits: what works, and still does not belong on a board that others use."""

from __future__ import annotations

import ast
from collections.abc import Iterator

from ..board.engines.offered import FIXED
from .advice import Advice, source_line
from .files import parsed

__all__ = ["SECRETS", "look_at_habits"]

SECRETS = "secrets.py"
"""The file in which names and passwords of networks stand, and nothing else."""


def look_at_habits(name: str, text: str) -> Iterator[Advice]:
    """Go through one file."""
    if name.removesuffix(".py") in FIXED:
        yield Advice(
            name, 0, f"{name} is never imported: the board's own module of that name comes first.",
            "give the file another name.",
        )  # fmt: skip
    tree = parsed(text)
    if tree is None or name == SECRETS:
        return
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "connect":
            texts = [a for a in node.args if isinstance(a, ast.Constant) and type(a.value) is str]
            if len(texts) >= 2:
                yield Advice(
                    name, node.lineno, "a password stands in the program, where everyone who "
                    "gets the program gets it.", f"keep it in {SECRETS}, which version control "
                    "ignores, and import it.", False, source_line(text, node.lineno),
                )  # fmt: skip
