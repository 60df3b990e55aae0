"""Where the board's language behaves otherwise than this computer's, and it is cheap to follow.

A few things are put into a program before it is compiled; its lines stay where they are:
an exception that is caught under a name (`except ValueError as fault`) gets the board's words, a
slice with a step asks the board whether it can do it, and numbers become texts as on the board.
Newer syntax that the board's compiler refuses is refused here, too.
"""

import re

__all__ = ["compiled", "sliced"]

_NEEDED = re.compile(
    r"^\s*match\b|\bexcept\s*\*|[\[({,=]\s*\*|\b(?:return|yield|in)\s*\*|/\s*[,):]|^\s*@|"
    r"except\b.*\bas\b|\[[^\]\n]*:[^\]\n]*:|\b[fF]['\"]|\bstr\(|['\"]\s*%|\.format\(",
    re.M,
)
"""What a text must have in it to be worth the time."""


def compiled(text, file):
    """Compile a program's text as the board understands it."""
    if "\0" in text:  # which older versions of this interpreter call a ValueError
        raise SyntaxError("source code string cannot contain null bytes")
    if not _NEEDED.search(text):
        return compile(text, file, "exec", dont_inherit=True)
    from boot_dialect_tree import changed  # costs a few milliseconds, which few programs need

    try:
        return compile(changed(text, file), file, "exec", dont_inherit=True)
    except RecursionError:  # nested too deep for a walk through it
        return compile(text, file, "exec", dont_inherit=True)


def sliced(value, step):
    """Give a value whose slices may have this step, or say that the board has none."""
    if step in (None, 1) or isinstance(value, (list, range)) or not hasattr(value, "__len__"):
        return value
    if type(value).__module__ not in ("builtins", "array"):
        return value
    raise NotImplementedError("only slices with step=1 (aka None) are supported")
