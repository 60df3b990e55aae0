"""Completion: within a `%%program` cell, Tab and Shift-Tab offer the board's names and words.

An ordinary cell's names are the notebook's, a program's are the board's.  So the kernel's
answers to JupyterLab's two questions are replaced for cells that begin with `%%program`, and
left as they are for all others.
"""

from __future__ import annotations

import ast
import builtins
import importlib
import inspect as introspection
import keyword
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from .catalogue import Entry, find, modules, offered

__all__ = ["Scope", "attach", "complete", "inspect"]

_FROM = re.compile(r"^\s*from\s+([\w.]+)\s+import\s+(?:\(?[\w\s,]*,\s*|\(?\s*)(\w*)$")
_IMPORT = re.compile(r"^\s*(?:from|import)\s+(?:[\w.\s,]*,\s*)?([\w.]*)$")
_DOTTED = re.compile(r"([\w.]*|[\w.]+\([^()]*\)\.\w*)$")


def attach(kernel: Any, magic: str, files: Mapping[str, str]) -> None:
    """Let a kernel answer for cells that begin with a magic.

    Args:
        kernel: The notebook's kernel; its answers for all other cells stay as they are.
        magic: What such a cell begins with.
        files: The files on the board, which programs may import.
    """
    if getattr(kernel, "answers_for_programs", False):
        return
    kernel.answers_for_programs = True
    for ours in (complete, inspect):
        plain = ours.__name__  # as a browser's kernel calls it
        name = f"do_{plain}" if hasattr(kernel, f"do_{plain}") else plain
        setattr(kernel, name, _answering(getattr(kernel, name), ours, magic, files))


def _answering(
    usual: Callable[..., Any], ours: Callable[..., dict[str, Any]], magic: str,
    files: Mapping[str, str],
) -> Callable[..., Any]:  # fmt: skip
    def answer(code: str, cursor_pos: int, *args: Any, **kwargs: Any) -> Any:
        head = code.partition("\n")[0]
        if head.split()[:1] == [magic] and cursor_pos > len(head):
            try:
                return ours(code, cursor_pos, files)
            except Exception:  # whatever half-written text does to us, Tab must go on working
                return usual(code, cursor_pos, *args, **kwargs)
        return usual(code, cursor_pos, *args, **kwargs)

    return answer


# -- the two questions -------------------------------------------------------


def complete(code: str, cursor: int, files: Mapping[str, str]) -> dict[str, Any]:
    """Give what may stand at the cursor of a program's cell, as a `complete_reply`.

    Args:
        code: The cell, its first line included.
        cursor: Where in it, in characters.
        files: The files on the board.
    """
    row = code[:cursor].rpartition("\n")[2]
    scope = Scope.of(code, cursor, files)
    begun, names = _offers(row, scope)
    matches = sorted(name for name in names if name.startswith(begun))
    if not begun.startswith("_"):
        matches = [name for name in matches if not name.startswith("_")]
    start = cursor - len(begun)
    kinds = [
        {"start": start, "end": cursor, "text": name, "type": names[name], "signature": ""}
        for name in matches
    ]
    return {
        "matches": matches, "cursor_start": start, "cursor_end": cursor, "status": "ok",
        "metadata": {"_jupyter_types_experimental": kinds},
    }  # fmt: skip


def _offers(row: str, scope: Scope) -> tuple[str, dict[str, str]]:
    """Give what has been begun in a line, and the names that may stand there with their kinds."""
    if found := _FROM.match(row):
        return found[2], scope.members(scope.module(found[1]))
    if found := _IMPORT.match(row):
        whole = found[1]
        heads = {**dict.fromkeys(modules(), "module"), **dict.fromkeys(scope.own, "module")}
        return whole, heads
    text = _DOTTED.search(row)
    owner, dot, begun = (text[0] if text else "").rpartition(".")
    if dot:
        return begun, scope.members(scope.meaning(owner))
    return begun, scope.plain()


def inspect(code: str, cursor: int, files: Mapping[str, str]) -> dict[str, Any]:
    """Give the words about what stands at the cursor, as an `inspect_reply`."""
    from IPython.utils.tokenutil import token_at_cursor

    name = token_at_cursor(code, cursor)
    scope = Scope.of(code, cursor, files)
    meaning = scope.meaning(name)
    words = scope.words(name, meaning) if name else ""
    data = {"text/plain": words} if words else {}
    return {"status": "ok", "found": bool(words), "data": data, "metadata": {}}


# -- what names mean in a program --------------------------------------------


@dataclass
class Scope:
    """What the names in a program stand for, as far as its text tells.

    Attributes:
        bound: Name to what it stands for on the board, dotted; an object as its class.
        made: Names that the program itself makes, with the line that does.
        own: The learner's own modules, name to text.
    """

    bound: dict[str, str] = field(default_factory=dict)
    made: dict[str, str] = field(default_factory=dict)
    own: dict[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, code: str, cursor: int, files: Mapping[str, str]) -> Scope:
        """Read a cell, its line with the cursor left out: that one is seldom complete."""
        own = {name.removesuffix(".py"): text for name, text in files.items()}
        scope = cls(own=own)
        rows = code.split("\n")
        here = code[:cursor].count("\n")
        for tree in _trees(rows, here):
            for node in ast.walk(tree):
                scope._read(node)
        return scope

    def _read(self, node: ast.AST) -> None:
        if isinstance(node, ast.Import):
            for alias in node.names:
                self.bound[alias.asname or alias.name.split(".")[0]] = (
                    alias.name if alias.asname else alias.name.split(".")[0]
                )
        elif isinstance(node, ast.ImportFrom):
            for alias in node.names:
                self.bound[alias.asname or alias.name] = f"{node.module}.{alias.name}"
        elif isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            self.made[node.name] = f"{node.name}({ast.unparse(node.args)})"
            self.made.update((a.arg, a.arg) for a in node.args.args)
        elif isinstance(node, ast.ClassDef):
            self.made[node.name] = f"class {node.name}"
        elif isinstance(node, ast.Assign):
            for target in node.targets:
                if isinstance(target, ast.Name):
                    self._assigned(target.id, node.value)
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            self.made.setdefault(node.id, node.id)

    def _assigned(self, name: str, value: ast.expr) -> None:
        self.made[name] = f"{name} = {ast.unparse(value)}"
        if isinstance(value, ast.Call):
            kind = self.meaning(ast.unparse(value.func))
            if kind and kind.kind == "class":
                self.bound[name] = kind.name

    def module(self, name: str) -> Entry | None:
        """Give a module: the learner's own, or the board's."""
        return _own(name, self.own[name]) if name in self.own else modules().get(name)

    def meaning(self, name: str) -> Entry | None:
        """Give what a dotted name, or a call of one, stands for."""
        called = re.fullmatch(r"([\w.]+)\([^()]*\)", name)
        if called:
            kind = self.meaning(called[1])
            return kind if kind and kind.kind == "class" else None
        head, _, rest = name.partition(".")
        full = ".".join(part for part in (self.bound.get(head, ""), rest) if part)
        if not head or head not in self.bound:
            return None
        first, _, inner = full.partition(".")
        if first in self.own:
            entry: Entry | None = self.module(first)
            for part in filter(None, inner.split(".")):
                entry = entry.members.get(part) if entry else None
            return entry
        return find(full)

    def members(self, entry: Entry | None) -> dict[str, str]:
        """Give the names within an entry, with their kinds."""
        if entry is None:
            return {}
        inner = {name: e.kind for name, e in entry.members.items()}
        head = entry.name + "."
        for name in modules():
            if name.startswith(head):
                inner[name.removeprefix(head).split(".")[0]] = "module"
        return inner

    def plain(self) -> dict[str, str]:
        """Give the names that may stand alone."""
        missing = set(offered()["no_builtins"])
        names = {n: "function" for n in dir(builtins) if n[0] != "_" and n not in missing}
        names.update(dict.fromkeys(keyword.kwlist, "keyword"))
        names.update(dict.fromkeys(self.made, "instance"))
        for name in self.bound:
            entry = self.meaning(name)
            names[name] = "instance" if name in self.made or not entry else entry.kind
        return names

    def words(self, name: str, entry: Entry | None) -> str:
        """Give what is to be told about a name."""
        if entry is not None:
            plain = _python_words(entry.name) if not (entry.words or entry.call) else ""
            head = entry.name if not entry.call else f"{entry.name.rpartition('.')[0]}.{entry.call}"
            inner = ", ".join(sorted(n for n in entry.members if n[0] != "_"))
            rows = [head, entry.words, plain, f"It has: {inner}." if inner else ""]
            return "\n\n".join(row for row in rows if row)
        if name in self.made:
            return self.made[name]
        if name in dir(builtins) and name not in offered()["no_builtins"]:
            return f"{name}\n\n{introspection.getdoc(getattr(builtins, name)) or ''}".strip()
        return ""


def _trees(rows: list[str], here: int) -> Iterator[ast.Module]:
    """Parse a cell without its first line and its line with the cursor; else line by line."""
    kept = ["" if k in (0, here) else row for k, row in enumerate(rows)]
    indent = re.match(r"\s*", rows[here])
    kept[here] = (indent[0] if indent else "") + "pass"
    try:
        yield ast.parse("\n".join(kept))
    except (SyntaxError, ValueError):
        for row in kept:
            try:
                yield ast.parse(row.strip())
            except (SyntaxError, ValueError):
                continue


def _own(name: str, text: str) -> Entry:
    """Give a learner's own module as an entry."""
    try:
        tree = ast.parse(text)
    except (SyntaxError, ValueError):
        return Entry(name, "module")
    members = {}
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            call = f"{node.name}({ast.unparse(node.args)})"
            words = ast.get_docstring(node) or ""
            members[node.name] = Entry(f"{name}.{node.name}", "function", call, words)
        elif isinstance(node, ast.ClassDef):
            words = ast.get_docstring(node) or ""
            members[node.name] = Entry(f"{name}.{node.name}", "class", f"{node.name}()", words)
        elif isinstance(node, ast.Assign):
            for target in node.targets:
                if isinstance(target, ast.Name):
                    words = ast.unparse(node.value)
                    members[target.id] = Entry(f"{name}.{target.id}", "value", words=words)
    return Entry(name, "module", words=ast.get_docstring(tree) or "", members=members)


def _python_words(name: str) -> str:
    """Give ordinary Python's words about what the board shares with it."""
    module, _, inner = name.partition(".")
    try:
        thing = importlib.import_module(module)
        for part in filter(None, inner.split(".")):
            thing = getattr(thing, part)
    except (ImportError, AttributeError):
        return ""
    words = introspection.getdoc(thing) or ""
    return f"{words}\n\n(As ordinary Python tells it.)" if words else ""
