"""Catalogue: what the board's modules offer - names, signatures and the words about them.

Two places tell it.  The shims (machine, time, neopixel ...) are read as text, so the catalogue
is what programs really get, and cannot lag behind.  For what the board has in common with
ordinary Python (math, json ...) `catalogue.json` holds the names that the real interpreter
gives, asked by `python -m tests.robotsim.test_catalogue`.  Nothing is imported.
"""

from __future__ import annotations

import ast
import functools
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from .board.engines import SHIMS
from .board.engines.offered import ALIASES

__all__ = ["COMMON", "Entry", "find", "modules", "offered"]

COMMON = Path(__file__).with_name("catalogue.json")
"""Names of the modules that the board shares with ordinary Python, and what it lacks of them."""


@dataclass(frozen=True)
class Entry:
    """One name that a program can use.

    Attributes:
        name: Its full name, such as "machine.Pin.value".
        kind: "module", "class", "function" or "value".
        call: How it is called, such as "value(x=None)"; "" for what is not called.
        words: Its docstring.
        members: The names within it.
    """

    name: str
    kind: str
    call: str = ""
    words: str = ""
    members: Mapping[str, Entry] = field(default_factory=lambda: MappingProxyType({}))


def modules() -> Mapping[str, Entry]:
    """Give every module that the board offers, by its name."""
    return _modules(tuple((".".join(parts), path.stat().st_mtime_ns) for parts, path in _files()))


@functools.lru_cache(maxsize=4)
def _modules(stamp: tuple[tuple[str, int], ...]) -> Mapping[str, Entry]:
    """Read the modules anew whenever one of their files has changed."""
    found = {name: Entry(name, "module", members=_plain(name, names))
             for name, names in offered()["modules"].items()}  # fmt: skip
    paths = {".".join(parts): path for parts, path in _files()}
    for name in paths:
        if not name.startswith("_"):
            found[name] = _Reader(paths).module(name)
    return MappingProxyType(dict(sorted(found.items())))


def find(name: str) -> Entry | None:
    """Give what a dotted name means on the board, such as "machine.Pin.IN"; None for nothing."""
    parts, known = name.split("."), modules()
    if parts[0] not in known and parts[0][:1] == "u" and parts[0][1:] in ALIASES:
        parts[0] = parts[0][1:]  # its old name, which the firmware still knows
    for cut in range(len(parts), 0, -1):
        entry = known.get(".".join(parts[:cut]))
        for part in parts[cut:]:
            entry = entry.members.get(part) if entry else None
        if entry:
            return entry
    return None


@functools.cache
def offered() -> dict[str, Any]:
    """Give what `catalogue.json` holds: modules, and builtins and methods that are missing."""
    told: dict[str, Any] = json.loads(COMMON.read_text(encoding="utf-8"))
    return told


def _plain(module: str, names: list[str]) -> Mapping[str, Entry]:
    return MappingProxyType({name: Entry(f"{module}.{name}", "value") for name in names})


def _files() -> Iterator[tuple[tuple[str, ...], Path]]:
    """Give the shims' files with the names by which they are imported."""
    for path in sorted(SHIMS.rglob("*.py")):
        parts = path.relative_to(SHIMS).with_suffix("").parts
        if parts[-1] == "__init__":
            parts = parts[:-1]
        # A shim that takes the place of a built-in module has a name of its own as a file.
        parts = tuple(part.removeprefix("board_") for part in parts)
        if parts and "__pycache__" not in parts:
            yield parts, path


class _Reader:
    """Reads shims: what a module defines, and what it takes over from another shim."""

    def __init__(self, paths: Mapping[str, Path]) -> None:
        self.paths = paths
        self.under_way: set[str] = set()

    def module(self, name: str) -> Entry:
        """Read one module."""
        self.under_way.add(name)
        tree = ast.parse(self.paths[name].read_text(encoding="utf-8"))
        members = self._members(name, tree.body)
        words = ast.get_docstring(tree) or _head(self.paths[name])
        return Entry(name, "module", words=words, members=MappingProxyType(members))

    def _members(self, owner: str, body: list[ast.stmt]) -> dict[str, Entry]:
        found: dict[str, Entry] = {}
        for node in body:
            if isinstance(node, ast.If | ast.Try):
                found.update(self._members(owner, node.body))
            elif isinstance(node, ast.ImportFrom):
                found.update(self._taken(owner, node))
            else:
                found.update((e.name.rpartition(".")[2], e) for e in self._made(owner, node))
        return {name: e for name, e in found.items() if name[0] != "_" or name == "__init__"}

    def _taken(self, owner: str, node: ast.ImportFrom) -> dict[str, Entry]:
        """Give what a module takes over from another one of the board's."""
        head = owner if node.level and self.paths[owner].stem == "__init__" else ""
        if node.level and not head:
            head = owner.rpartition(".")[0]
        source = ".".join(part for part in (head, node.module) if part)
        if source not in self.paths or source in self.under_way:
            return {}
        there = _Reader(self.paths).module(source).members
        names = list(there) if node.names[0].name == "*" else [a.name for a in node.names]
        return {name: _moved(there[name], owner) for name in names if name in there}

    def _made(self, owner: str, node: ast.stmt) -> Iterator[Entry]:
        """Give the names that a statement defines."""
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            words = ast.get_docstring(node) or ""
            yield Entry(f"{owner}.{node.name}", "function", _call(node), words)
        elif isinstance(node, ast.ClassDef):
            name = f"{owner}.{node.name}"
            members = self._members(name, node.body)
            made = members.pop("__init__", None)
            call = node.name + made.call.removeprefix("__init__") if made else f"{node.name}()"
            words = ast.get_docstring(node) or ""
            yield Entry(name, "class", call, words, MappingProxyType(members))
        elif isinstance(node, ast.Assign):
            for target in node.targets:
                if isinstance(target, ast.Name):
                    yield Entry(f"{owner}.{target.id}", "value", words=_value(node.value))


def _moved(entry: Entry, owner: str) -> Entry:
    """Give an entry as the one of another module, in which programs find it."""
    name = f"{owner}.{entry.name.rpartition('.')[2]}"
    members = {inner: _moved(e, name) for inner, e in entry.members.items()}
    return replace(entry, name=name, members=MappingProxyType(members))


def _call(node: ast.FunctionDef | ast.AsyncFunctionDef) -> str:
    given = node.args
    if given.args and given.args[0].arg in ("self", "cls"):
        given = ast.parse(f"lambda {ast.unparse(given)}: 0", mode="eval").body.args  # type: ignore[attr-defined]
        dropped = len(given.args) - len(given.defaults)
        given.args = given.args[1:]
        given.defaults = given.defaults[1:] if not dropped else given.defaults
    return f"{node.name}({ast.unparse(given)})"


def _value(node: ast.expr) -> str:
    return ast.unparse(node) if isinstance(node, ast.Constant) else ""


def _head(path: Path) -> str:
    """Give the comment at the head of a file, which is what shims have for a docstring."""
    rows = []
    for row in path.read_text(encoding="utf-8").splitlines():
        if not row.startswith("#"):
            break
        rows.append(row.lstrip("# "))
    return "\n".join(rows).strip()
