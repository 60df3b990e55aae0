"""Interfaces: what a module's text offers, read from stubs and from our own files alike."""

from __future__ import annotations

import ast
import importlib.metadata
from dataclasses import dataclass, field
from pathlib import Path

__all__ = ["Interface", "Signature", "gaps", "interface", "stub_of"]

Names = dict[str, "Signature | None"]
SPECIAL = ("__init__", "__call__", "__getitem__", "__setitem__", "__len__", "__enter__", "__exit__")


@dataclass
class Signature:
    """What may be handed to a function, over all its published forms.

    Attributes:
        least: Fewest values that some form asks for.
        most: Most values that may be handed over by place.
        words: Names by which values may be handed over.
        open: Whether some form takes anything (`*args, **kwargs`), so that nothing is said.
    """

    least: int = 99
    most: int = 0
    words: set[str] = field(default_factory=set)
    open: bool = False

    def add(self, node: ast.FunctionDef | ast.AsyncFunctionDef, method: bool) -> Signature:
        """Take another form in."""
        args = node.args
        static = any("staticmethod" in ast.unparse(d) for d in node.decorator_list)
        skip = 1 if method and not static else 0
        places = [*args.posonlyargs, *args.args][skip:]
        wanted = len(places) - len(args.defaults)
        wanted += sum(default is None for default in args.kw_defaults)
        if args.vararg and args.kwarg and not places:
            self.open = True
        self.least = min(self.least, max(wanted, 0))
        self.most = max(self.most, 99 if args.vararg else len(places))
        named = [a.arg for a in args.args if a.arg not in ("self", "cls")]
        self.words |= {*named, *(a.arg for a in args.kwonlyargs)}
        self.words |= {"*"} if args.kwarg else set()
        return self


@dataclass
class Interface:
    """Name to signature (None for a constant); a class's names stand as `Class.name`."""

    names: Names


def stub_of(module: str) -> Path:
    """Give the published stub of a module."""
    files = importlib.metadata.files("micropython-esp32-stubs") or []
    place = module.replace(".", "/")
    ends = (f"{place}.pyi", f"{place}/__init__.pyi")
    (path,) = [file.locate() for file in files if file.as_posix() in ends]
    return Path(str(path))


def interface(path: Path, own: bool = False) -> Interface:
    """Read a file's interface; `own` follows the imports by which our files are put together."""
    names: Names = {}
    body = ast.parse(path.read_text(encoding="utf-8")).body
    for node in body:
        if own and isinstance(node, ast.ImportFrom):
            inner = path.parent / f"{node.module}.py"
            known = interface(inner, own).names if inner.is_file() else {}
            for alias in node.names:
                head = alias.name
                names |= {n: s for n, s in known.items() if n == head or n.startswith(f"{head}.")}
        elif isinstance(node, ast.ClassDef):
            names[node.name] = None
            for base in node.bases:
                inherited = f"{ast.unparse(base).rpartition('.')[2]}."
                names |= {
                    f"{node.name}.{n.removeprefix(inherited)}": s
                    for n, s in list(names.items())
                    if n.startswith(inherited)
                }
            fresh: Names = {}
            for part in node.body:
                _take(part, fresh, f"{node.name}.")
                if own and isinstance(part, ast.FunctionDef) and part.name == "__init__":
                    fresh |= {f"{node.name}.{name}": None for name in _attributes(part)}
            names |= fresh
        else:
            _take(node, names, "")
    return Interface({n: s for n, s in names.items() if _is_public(n)})


def _attributes(made: ast.FunctionDef) -> list[str]:
    """Give the attributes that an object is given when it is made."""
    targets = [t for n in ast.walk(made) if isinstance(n, ast.Assign) for t in n.targets]
    targets = [e for t in targets for e in (t.elts if isinstance(t, ast.Tuple) else [t])]
    return [t.attr for t in targets if isinstance(t, ast.Attribute)]


def _take(node: ast.stmt, names: Names, head: str) -> None:
    if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
        before = names.get(head + node.name)
        names[head + node.name] = (before or Signature()).add(node, bool(head))
    elif isinstance(node, ast.Assign):
        targets = [t for target in node.targets for t in
                   (target.elts if isinstance(target, ast.Tuple) else [target])]  # fmt: skip
        for target in targets:
            if isinstance(target, ast.Name):
                same = names.get(head + ast.unparse(node.value))
                names[head + target.id] = same
    elif isinstance(node, ast.AnnAssign) and "TypeAlias" not in ast.unparse(node.annotation):
        names.setdefault(head + ast.unparse(node.target), None)


def _is_public(name: str) -> bool:
    return all(part[0] != "_" or part in SPECIAL for part in name.split("."))


def gaps(module: str, published: Interface, ours: Interface) -> list[str]:
    """Give what is published and not offered: names, and arguments as `name(argument)`."""
    found = []
    for name, theirs in published.names.items():
        full = f"{module}.{name}"
        if name not in ours.names:
            owner = name.rpartition(".")[0]
            if not name.endswith("__init__") and (not owner or owner in ours.names):
                found.append(full)
            continue
        mine = ours.names[name]
        if theirs is None or mine is None or theirs.open or mine.open:
            continue
        found += [f"{full}({word})" for word in sorted(theirs.words - mine.words - {"*"})
                  if "*" not in mine.words and len(word) > 1]  # fmt: skip
        if mine.most < theirs.most < 99:
            found.append(f"{full}: {theirs.most} values by place")
        if mine.least > theirs.least:
            found.append(f"{full}: {theirs.least} values are enough")
    return found
