"""Advice: what to try when the board raises an exception in a program.

The board itself says little more than the exception's kind and message.  What is added here
is ours and looks at nothing but that, the line it came from, and the files on the board.
"""

from __future__ import annotations

import builtins
import difflib
import re
import sys
import warnings
from collections.abc import Mapping

from ..errors import nearest
from .engines.offered import SYNTAX
from .names import hides, names_of
from .rules import INSTEAD, JSON_WORDS, OF_THE_NOTEBOOK, RULES

__all__ = ["advise", "called", "syntax"]

_HOMES = ("time", "machine", "math", "random", "neopixel", "network", "json", "asyncio", "struct")
"""Modules whose names a program is likely to use without their module, the likeliest first."""
_IMPORTS = re.compile(r"^\s*import\s+([\w., ]+)", re.M)
_LIKELY = frozenset(
    "abs all any bool bytearray bytes dict enumerate float hex int isinstance len list max min "
    "open pow print range reversed round set sorted str sum tuple type zip True False None "
    "Exception OSError ValueError KeyError TypeError IndexError while for if elif else "
    "return".split()
)
"""Built-in words that a learner's misspelt name could have been meant for."""
_MOST = 14
"""Names that a sentence can hold."""
_WORD = re.compile(r"[A-Za-z_]\w*")
_SET = re.compile(r"^(?:(?:async def|def|class) ([^\W\d]\w*)|([^\W\d]\w*) *[=,:](?!=))", re.M)
"""A name that a file gives to those who import it, at the beginning of a line."""
_PLAIN = (
    (r"expected ':'", "the line needs a colon at its end."),
    (r"'(.)' was never closed", r"the bracket \1 is opened here and closed nowhere."),
    (r"unmatched '(.)'", r"the bracket \1 closes nothing: was one opened before it?"),
    (r"unterminated string literal.*", "the text has no quotation mark at its end."),
    (r"unterminated triple-quoted string literal.*", "the text has no three quotes at its end."),
    (r"Missing parentheses in call to 'print'.*", "print needs brackets: print(...)."),
    (r"expected an indented block after (.*) on line (\d+)",
     r"after the \1 in line \2 the next line must be set in."),
    (r"unexpected indent", "the line begins further to the right than the one above it: why?"),
    (r"unindent does not match.*",
     "the line begins between two columns: set it in as far as the block that it belongs to."),
    (r"inconsistent use of tabs.*", "the line mixes tabs and blanks: use four blanks everywhere."),
    (r"'(return|yield|await)' outside (?:async )?function", r"\1 belongs inside a function."),
    (r"'(break|continue)' .*", r"\1 belongs inside a loop."),
    (r"invalid syntax\. Perhaps you forgot a comma\?", "is a comma missing?"),
    (r"invalid syntax\. Maybe you meant '==' or ':=' instead of '='\?|"
     r"cannot assign to .* here\. Maybe you meant '==' instead of '='\?",
     "= gives a name a value; == compares."),
    (r"cannot assign to (.*)", r"\1 stands left of the = and cannot be given a value."),
    (r"invalid character .*", "there is a character that belongs in no program: was it pasted?"),
    (r"invalid decimal literal", "a name cannot begin with a digit, nor a number hold a letter."),
    (r"leading zeros in decimal integer literals.*",
     "a number cannot begin with 0: write 7, not 07."),
)  # fmt: skip


_PASTED = (
    "a line that begins with % is the notebook's and no Python: leave it out here; it stands once, "
    "as the first line of the cell."
)


def syntax(file: str, text: str) -> tuple[str, str, int, str] | None:
    """Look for what is wrong with a text: (kind, the board's message, line, what to try).

    The board says "invalid syntax" and a line at which it gave up; ordinary Python knows better
    what is missing, and where.  None if ordinary Python finds nothing.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            compile(text, file, "exec", dont_inherit=True)
    except SyntaxError as fault:
        told = fault.msg or ""
        message = next((ours for theirs, ours in SYNTAX if told.startswith(theirs)), None)
        kind = "IndentationError" if message and "indent" in message else "SyntaxError"
        line = fault.lineno or 0
        rows = text.split("\n")
        pasted = 0 < line <= len(rows) and rows[line - 1].lstrip().startswith("%")
        return kind, message or "invalid syntax", line, _PASTED if pasted else _plain(told)
    except (ValueError, MemoryError, RecursionError):
        return None
    return None


def called(message: str, files: Mapping[str, str]) -> tuple[str, int]:
    """Find the function that the board itself called wrongly: file and line, or ("", 0)."""
    found = re.match(r"(\w+)\(\) takes", message)
    for file, text in files.items() if found else ():
        for number, row in enumerate(text.splitlines(), 1):
            if found and re.match(rf"\s*(?:async\s+)?def\s+{found[1]}\b", row):
                return file, number
    return "", 0


def _plain(told: str) -> str:
    for pattern, words in _PLAIN:
        found = re.fullmatch(pattern, told)
        if found:
            return found.expand(words)
    return (
        f"ordinary Python says: {told}."
        if told != "invalid syntax"
        else (
            "is a bracket, a quotation mark, a colon or an operator missing, here or a line above?"
        )
    )


def advise(kind: str, message: str, source: str, files: Mapping[str, str]) -> str:
    """Give what to try after an exception, "" where nothing sensible can be said.

    Args:
        kind: The exception's kind, such as "ValueError".
        message: What the board says.
        source: The line that it came from.
        files: The files on the board, name to text.
    """
    special = {"ImportError": _import, "NameError": _name, "AttributeError": _attribute}
    if kind in special:
        hint = special[kind](message, source, files)
        if hint:
            return hint
    for rule in RULES:
        if re.fullmatch(rule.kind, kind) and re.search(rule.source, source):
            found = re.search(rule.message, message)
            if found:
                return found.expand(rule.hint)
    return ""


def _import(message: str, source: str, files: Mapping[str, str]) -> str:
    found = re.fullmatch(r"no module named '(.*)'", message)
    if not found:
        found = re.fullmatch(r"can't import name (\w+)", message)
        module = re.search(r"from\s+([\w.]+)\s+import", source)
        if not found or not module:
            return ""
        text = files.get(f"{module[1]}.py")
        if text is None:
            return _nearest(found[1], names_of(module[1]), f"the module {module[1]}")
        return _of_own_file(found[1], module[1], text)
    name = found[1].split(".")[0]
    if name in INSTEAD:
        return INSTEAD[name]
    if name in OF_THE_NOTEBOOK:
        return (
            f"{name} belongs to the notebook, on your computer; the board has not got it. Leave "
            "this line out here: an ordinary cell, without %%program, is its place."
        )
    own = {file.removesuffix(".py") for file in files if file.endswith(".py")}
    guess = nearest(name, own | names_of(""))
    if guess:
        return f"did you mean {guess}?"
    if name in sys.stdlib_module_names:
        return f"{name} belongs to Python on a computer; the board's firmware has not got it."
    return (
        f"is {name}.py on the board? Run its cell first, the one that begins %%program {name}.py."
    )


def _of_own_file(name: str, module: str, text: str) -> str:
    """Give what to try where a file that was put on the board has not got a name."""
    if hides(f"{module}.py") and name in names_of(module):
        return (
            f"your own {module}.py hides the board's module {module}. Give that program another "
            f'name in its first line, and take the file off the board: remove("{module}.py").'
        )
    known = {found[1] or found[2] for found in _SET.finditer(text)}
    if name in known:
        return f"{module}.py had not set {name} yet: do the two files import each other?"
    guess = nearest(name, known)
    if guess:
        return f"did you mean {guess}?"
    return (
        f"{module}.py does not set {name} yet: write it there, run that cell, then try again. "
        "This file may be right."
    )


def _name(message: str, source: str, files: Mapping[str, str]) -> str:
    found = re.fullmatch(r"name '(\w+)' isn't defined", message)
    if not found:
        return ""
    name = found[1]
    if name in JSON_WORDS and not re.search(rf"\b{name}\b", source):
        return (  # it stands in a text that is run, not in the program
            f"{name} is a word of JSON, so the text that is run here is JSON: json.loads(text) "
            "reads it, and never runs anything, as eval would whatever is sent."
        )
    if name in JSON_WORDS:
        return f"Python writes {JSON_WORDS[name]}; {name} is JSON's word for it."
    if name in names_of("") | set(INSTEAD) or name in {"Pin", "PWM", "ADC", "I2C", "NeoPixel"}:
        home = {"NeoPixel": "neopixel"}.get(name, "machine")
        first = f"import {name}" if name[0].islower() else f"from {home} import {name}"
        return f"is it imported? Put `{first}` into the first lines."
    if home := _home(name, files):
        return home
    known = {word for text in files.values() for word in _WORD.findall(text)} - {name}
    guess = nearest(name, known | _LIKELY)
    if guess:
        return f"did you mean {guess}?"
    return f"give {name} a value before this line, or put it in quotes if it is a text."


def _home(name: str, files: Mapping[str, str]) -> str:
    """Say in which module a name is at home, "" where it is in none that a program would use."""
    text = "\n".join(files.values())
    found = {word for row in _IMPORTS.findall(text) for word in _WORD.findall(row)}
    homes = [module for module in _HOMES if name in names_of(module)]
    ready = [module for module in homes if module in found]
    if ready:
        return f"did you mean {ready[0]}.{name}? It belongs to the module {ready[0]}."
    if homes:
        return f"put `import {homes[0]}` into the first lines, and write {homes[0]}.{name} here."
    return ""


def _attribute(message: str, source: str, files: Mapping[str, str]) -> str:
    found = re.fullmatch(
        r"(?:'(\w+)' object|module '(\w+)'|type object '(\w+)') has no attribute '(\w+)'", message
    )  # noqa: E501
    if not found or found[1] == "NoneType":
        return ""
    owner = found[1] or found[2] or found[3]
    own = files.get(f"{found[2]}.py") if found[2] else None
    if own is not None:
        return _of_own_file(found[4], owner, own)
    known = names_of(owner)
    if owner in vars(builtins):
        return "" if not nearest(found[4], known) else _nearest(found[4], known, owner)
    if known:
        what = f"the module {owner}" if found[2] else f"{owner}"
        return _nearest(found[4], known, what)
    return ""


def _nearest(name: str, known: frozenset[str], owner: str) -> str:
    guesses = difflib.get_close_matches(name, known, n=3, cutoff=0.6)
    if guesses:
        *first, last = guesses
        return f"did you mean {', '.join(first)}{' or ' if first else ''}{last}?"
    if not known:
        return ""
    if len(known) > _MOST:
        return f"{owner} has no such name: with the cursor behind the dot, Tab shows what it has."
    return f"{owner} has {', '.join(sorted(known, key=lambda n: (n.isupper(), n)))}."
