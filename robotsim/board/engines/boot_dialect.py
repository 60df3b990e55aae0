"""Where the board's language behaves otherwise than this computer's, and it is cheap to follow.

A few things are put into a program before it is compiled; its lines stay where they are:
an exception that is caught under a name (`except ValueError as fault`) gets the board's words, a
slice with a step asks the board whether it can do it, and numbers become texts as on the board.
Newer syntax that the board's compiler refuses is refused here, too.
"""

import re

from boot_values import METHOD_NAMES

__all__ = ["compiled", "sliced"]

_NEEDED = re.compile(
    r"^\s*match\b|\bexcept\s*\*|[\[({,=]\s*\*|\b(?:return|yield|in)\s*\*|/\s*[,):]|^\s*@|"
    r"except\b.*\bas\b|\[[^\]\n]*:[^\]\n]*:|\b[fF]['\"]|\bstr\(|['\"]\s*%|\.format\(|\{|"
    r"\brange\(.*[!=]=|[!=]=\s*range\(|\bb['\"].*\+|\+\s*b['\"]|\bslice\(|split\(.*=|"
    r"\*\*|\bdel\s+\w+\s*(?:,|;|#|$)|\b__index__\b|(?:[)]|\bTrue|\bFalse)\s*[&|^]",
    re.M,
)
"""What a text must have in it to be worth the time."""
_ATTRIBUTE = re.compile(r"\.\s*(\w+)")


def compiled(text, file):
    """Compile a program's text as the board understands it."""
    if "\0" in text:  # which older versions of this interpreter call a ValueError
        raise SyntaxError("source code string cannot contain null bytes")
    if "\t" in text:
        text = _spaced(text, file)
    named = not METHOD_NAMES.isdisjoint(_ATTRIBUTE.findall(text))
    if not named and not _NEEDED.search(text):
        return compile(text, file, "exec", dont_inherit=True)
    from boot_dialect_tree import changed  # costs a few milliseconds, which few programs need

    try:
        return compile(changed(text, file), file, "exec", dont_inherit=True)
    except RecursionError:  # nested too deep for a walk through it
        return compile(text, file, "exec", dont_inherit=True)


def _spaced(text, file):
    """Give a text whose indents mix blanks and tabs with blanks alone: the board counts both."""
    try:
        compile(text, file, "exec", dont_inherit=True)
    except TabError:
        rows = text.split("\n")
        indents = [len(row) - len(row.lstrip(" \t")) for row in rows]
        return "\n".join(r[:n].expandtabs(8) + r[n:] for r, n in zip(rows, indents, strict=True))
    except SyntaxError:
        pass
    return text


def sliced(value, step):
    """Give a value whose slices may have this step, or say that the board has none."""
    if isinstance(value, dict):  # from 3.12 on a slice could be looked up in a table
        raise TypeError("unsupported type for __hash__: 'slice'")
    if step in (None, 1) or isinstance(value, (list, range)) or not hasattr(value, "__len__"):
        return value
    if type(value).__module__ not in ("builtins", "array"):
        return value
    raise NotImplementedError("only slices with step=1 (aka None) are supported")
