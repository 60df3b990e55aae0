"""Names: modules, names within them, builtins and methods that a program uses and a board lacks."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from ..catalogue import Entry, find, modules, offered
from ..errors import nearest
from ..origin import Whose
from ..trial import run_trial
from .advice import Advice, source_line
from .files import parsed

__all__ = ["look_at_names"]

_INSTEAD = {
    "BlockingIOError": "OSError, and compare its errno",
    "ConnectionError": "OSError",
    "FileExistsError": "OSError, and compare its errno with errno.EEXIST",
    "FileNotFoundError": "OSError, and compare its errno with errno.ENOENT",
    "IOError": "OSError",
    "ModuleNotFoundError": "ImportError",
    "PermissionError": "OSError",
    "RecursionError": "RuntimeError",
    "TimeoutError": "OSError, and compare its errno with errno.ETIMEDOUT",
    "UnboundLocalError": "NameError",
    "UnicodeDecodeError": "UnicodeError",
    "bit_length": "a loop that shifts and counts",
    "capitalize": "text[0].upper() + text[1:].lower()",
    "exit": "sys.exit()",
    "format": "str.format, or % with a pattern",
    "isalnum": "isalpha() or isdigit() for each character",
    "is_integer": "x == int(x)",
    "ljust": "a pattern: '%-8s' % text",
    "quit": "sys.exit()",
    "removeprefix": "startswith() and a slice",
    "removesuffix": "endswith() and a slice",
    "rjust": "a pattern: '%8s' % text",
    "title": "upper() and lower()",
    "vars": "the object's attributes by their names",
    "zfill": "a pattern: '%04d' % number",
    "dist": "math.sqrt(dx * dx + dy * dy)",
    "gauss": "the sum of several random() values",
    "hypot": "math.sqrt(x * x + y * y)",
    "monotonic": "ticks_ms() and ticks_diff()",
    "perf_counter": "ticks_us() and ticks_diff()",
    "process_time": "ticks_us() and ticks_diff()",
    "shuffle": "a loop that swaps places drawn with randrange()",
    "strftime": "localtime() and a pattern",
}
_KEYWORDS = {
    ("print", "flush"): "leave it out: the board prints at once.",
    ("zip", "strict"): "leave it out.",
    ("sum", "start"): "give it without its name: sum(values, start).",
    ("from_bytes", "signed"): "read it unsigned, and take 1 << bits off if the top bit is set.",
    ("split", "maxsplit"): "give both without their names: split(' ', 1); None for any blank.",
    ("rsplit", "maxsplit"): "give both without their names: rsplit(' ', 1).",
    ("encode", "encoding"): "leave it out: it is always UTF-8.",
    ("decode", "encoding"): "leave it out: it is always UTF-8.",
}
"""(function or method, keyword) that ordinary Python knows and the board does not."""


def look_at_names(name: str, files: Mapping[str, str]) -> Iterator[Advice]:
    """Go through the names that one file uses, and give those that the board lacks."""
    tree = parsed(files[name])
    if tree is None:
        return
    own = {file.removesuffix(".py") for file in files}
    looked = _Names(name, files[name], own, _Own.of(files))
    looked.visit(tree)
    yield from looked.found


@dataclass(frozen=True)
class _Own:
    """The names that the learner's own files define, whatever they stand for."""

    names: frozenset[str]

    @classmethod
    def of(cls, files: Mapping[str, str]) -> _Own:
        names: set[str] = set()
        for text in files.values():
            for node in ast.walk(parsed(text) or ast.Module([], [])):
                if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                    names.add(node.name)
                elif isinstance(node, ast.Name | ast.Attribute) and isinstance(node.ctx, ast.Store):
                    names.add(node.id if isinstance(node, ast.Name) else node.attr)
                elif isinstance(node, ast.arg):
                    names.add(node.arg)
        return cls(frozenset(names))


@dataclass
class _Names(ast.NodeVisitor):
    file: str
    text: str
    modules: set[str]
    own: _Own
    bound: dict[str, str] = field(default_factory=dict)
    """A name in the program to what it stands for on the board."""
    found: list[Advice] = field(default_factory=list)

    def _tell(self, node: ast.AST, cause: str, cure: str) -> None:
        line = getattr(node, "lineno", 0)
        self.found.append(Advice(self.file, line, cause, cure, True, source_line(self.text, line)))

    # -- imports -------------------------------------------------------------

    def visit_Try(self, node: ast.Try) -> None:  # noqa: N802
        """Let be what a program is prepared for: an import whose failing it catches."""
        caught = {n for h in node.handlers for n in _caught(h)}
        before = len(self.found)
        for line in node.body:
            self.visit(line)
        if caught & {"", "ImportError", "Exception"}:
            kept = [one for one in self.found[before:] if "ImportError" not in one.cause]
            self.found[before:] = kept
        for part in (*node.handlers, *node.orelse, *node.finalbody):
            self.visit(part)

    def visit_Import(self, node: ast.Import) -> None:  # noqa: N802
        for alias in node.names:
            if self._has(node, alias.name):
                head = alias.name if alias.asname else alias.name.split(".")[0]
                self.bound[alias.asname or head] = head

    def visit_ImportFrom(self, node: ast.ImportFrom) -> None:  # noqa: N802
        module = node.module or ""
        if node.level:
            self._tell(node, "the board imports files by their names only, not by dots.",
                       "write from name import ... without the dot.")  # fmt: skip
            return
        if not self._has(node, module):
            return
        for alias in node.names:
            self._member(node, module, alias.name)
            self.bound[alias.asname or alias.name] = f"{module}.{alias.name}"

    def _has(self, node: ast.stmt, module: str) -> bool:
        """Tell whether a module of the board's is imported; advise if it is nobody's."""
        head = module.split(".")[0]
        if head in self.modules:
            return False
        if find(module):
            return True
        problem = run_trial(f"import {module}", seconds=0.1, whose=Whose.KIT).problem
        hint = problem.hint if problem else ""
        near = nearest(module, [*modules(), *self.modules])
        guess = f"did you mean {near!r}? " if near else ""
        cure = hint or f"{guess}The board has: {', '.join(modules())}."
        self._tell(node, f"the board has no module {module!r}: ImportError.", cure)
        return False

    # -- what is within them -------------------------------------------------

    def visit_Attribute(self, node: ast.Attribute) -> None:  # noqa: N802
        if isinstance(node.ctx, ast.Load):
            owner = self._stands_for(node.value)
            if owner:
                self._member(node, owner, node.attr)
        self.generic_visit(node)

    def _stands_for(self, node: ast.expr) -> str:
        """Give the dotted name on the board that an expression stands for, "" for none."""
        if isinstance(node, ast.Name):
            return "" if node.id in self.own.names else self.bound.get(node.id, "")
        if isinstance(node, ast.Attribute):
            owner = self._stands_for(node.value)
            return f"{owner}.{node.attr}" if owner else ""
        return ""

    def _member(self, node: ast.AST, owner: str, name: str) -> None:
        entry = find(owner)
        if name == "*" or entry is None or not self._lists(entry):
            return
        if name not in entry.members and not name.startswith("__"):
            near = nearest(name, entry.members)
            known = f"did you mean {near!r}?" if near else f"it has {_few(entry)}."
            cure = f"use {_INSTEAD[name]}." if name in _INSTEAD else known
            what = "AttributeError" if isinstance(node, ast.Attribute) else "ImportError"
            self._tell(node, f"the board's {owner} has no {name!r}: {what}.", cure)

    @staticmethod
    def _lists(entry: Entry) -> bool:
        return entry.kind in ("module", "class") and bool(entry.members)

    # -- builtins, methods, keywords -----------------------------------------

    def visit_Name(self, node: ast.Name) -> None:  # noqa: N802
        known = node.id in self.own.names or node.id in self.bound
        if isinstance(node.ctx, ast.Load) and node.id in offered()["no_builtins"] and not known:
            cure = _INSTEAD.get(node.id, "what is built in on the board (dir(__builtins__) there)")
            self._tell(node, f"the board knows no {node.id}: NameError.", f"use {cure}.")

    def visit_Call(self, node: ast.Call) -> None:  # noqa: N802
        called = node.func
        name = getattr(called, "attr", getattr(called, "id", ""))
        if (
            isinstance(called, ast.Attribute)
            and name in offered()["no_methods"]
            and name not in self.own.names
            and not self._stands_for(called)
        ):
            cure = _INSTEAD.get(name, "a few lines of your own")
            self._tell(node, f"on the board no text or number has {name}(): AttributeError.",
                       f"use {cure}.")  # fmt: skip
        for word in node.keywords:
            cure = _KEYWORDS.get((name, word.arg or ""), "")
            if cure and name not in self.own.names:
                self._tell(node, f"the board's {name}() takes no {word.arg}=: TypeError.", cure)
        self.generic_visit(node)


def _caught(handler: ast.ExceptHandler) -> set[str]:
    """Give the names of what a handler catches, "" for everything."""
    if handler.type is None:
        return {""}
    kinds = handler.type.elts if isinstance(handler.type, ast.Tuple) else [handler.type]
    return {getattr(kind, "id", "") or "?" for kind in kinds}


def _few(entry: Entry) -> str:
    names = sorted(entry.members)
    return ", ".join(names[:12]) + (" ..." if len(names) > 12 else "")
