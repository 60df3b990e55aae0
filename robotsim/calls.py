"""Calls: what a notebook's call of the kit is told whose brackets hold the wrong things.

Python's own words for that end in a page of traceback with this machine's paths, name no cure, and
some come only deep in the kit.  So each function that learners call says once how it is called and
what its first values are, and is asked nothing before they fit.
"""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Mapping, Sequence
from os import PathLike
from pathlib import Path
from types import NoneType
from typing import Any, NamedTuple, ParamSpec, TypeVar

from .errors import KitError, nearest

__all__ = ["FILES", "NAME", "TABLE", "TASK", "TUG", "Value", "called_as"]

_MEANT = {
    "serial": "id no nr number robot ship",
    "table": "area course floor ground map place where world",
    "seconds": "duration length limit s sec secs time",
    "start": "begin from_ heading pose position xy",
    "runs": "count days n repeat repeats times tries",
    "program": "code file name script",
    "beside": "mate other partner together",
    "air": "messages network orders radio",
    "volts": "battery charge power voltage",
    "targets": "goal goals marks target",
}
"""By the name of an argument, other words for it that people try."""
P = ParamSpec("P")
R = TypeVar("R")
_MOST = 50
"""Characters of a value that are shown."""
_SEVERAL = inspect.Parameter.VAR_POSITIONAL
_PLACED = inspect.Parameter.POSITIONAL_OR_KEYWORD


class Value(NamedTuple):
    """What a value has to be.

    Attributes:
        kind: Its type.
        words: What it is, as in "run takes ...".
        hint: What to try where it is something else; "" for the example of the call.
        number: The argument that takes a whole number, if one was given here; "" for none.
    """

    kind: type | tuple[type, ...]
    words: str
    hint: str = ""
    number: str = ""


NAME = Value(str, "a program's name in quotes")
FILES = Value((Mapping, NoneType), "files as a dict of names and texts")
TABLE = Value(str, "a table's name in quotes")
TUG = Value(
    (str, PathLike, Mapping, NoneType), "the tug.json of a tug, by its name in quotes",
    number="serial",
)  # fmt: skip
TASK = Value(str, "a task's name in quotes")


def called_as(example: str, **values: Value) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Give a function a `KitError` for calls that do not fit it.

    Args:
        example: A call that fits, to be tried.
        values: By the name of an argument, what it has to be.
    """

    def guard(function: Callable[P, R]) -> Callable[P, R]:
        signature = inspect.signature(function)

        @functools.wraps(function)
        def call(*given: P.args, **named: P.kwargs) -> R:
            try:
                bound = signature.bind(*given, **named).arguments
            except TypeError:
                raise _misfit(function, signature, example, given, named, values) from None
            for name, value in values.items():
                several = signature.parameters[name].kind is _SEVERAL
                for one in bound.get(name, ()) if several or name not in bound else [bound[name]]:
                    if not isinstance(one, value.kind) or _number(value, one) is not None:
                        where = _typed(function, signature, given, named)
                        raise _other(function.__name__, where, value, one, example)
            return function(*given, **named)

        return call

    return guard


def _other(name: str, where: str, value: Value, given: object, example: str) -> KitError:
    """Give the error for a value of another kind."""
    hint, number = value.hint or f"write it like {example}.", _number(value, given)
    if number is not None:
        hint = f"the tug of another number is {value.number}={number}."
    return KitError(f"{name} takes {value.words}, not {_short(given)}.", where=where, hint=hint)


def _number(value: Value, given: object) -> int | None:
    """Give the whole number, also in quotes, that stands where its own argument would take it."""
    if isinstance(given, str) and given.strip().isdecimal() and not Path(given).exists():
        given = int(given)
    return given if value.number and type(given) is int else None


def _misfit(
    function: Callable[..., Any], signature: inspect.Signature, example: str,
    given: Sequence[Any], named: Mapping[str, Any], values: Mapping[str, Value],
) -> KitError:  # fmt: skip
    """Give the error for a call with too many values, too few, or an unknown one."""
    name, taken = function.__name__, dict(signature.parameters)
    taken.pop("self", None)
    placed = [word for word, one in taken.items() if one.kind is _PLACED]
    count = len(given) - (len(signature.parameters) - len(taken))
    hint = f"write it like {example}."
    any_word = any(one.kind is inspect.Parameter.VAR_KEYWORD for one in taken.values())
    unknown = next((word for word in named if word not in taken and not any_word), None)
    twice = next((word for word in placed[:count] if word in named), None)
    if unknown is not None:
        what = f"{name} takes no {unknown}=."
        other = (word for word, tried in _MEANT.items() if unknown.lower() in tried.split())
        guess = next((word for word in other if word in taken), None) or nearest(unknown, taken)
        accepted = f"it takes {', '.join(taken)}." if taken else "leave it out."
        hint = f"did you mean {guess}=?" if guess else accepted
    elif twice is not None:
        what = f"{name} was given {twice} twice."
    elif count > len(placed):
        many = "nothing" if not placed else f"{len(placed)} value{'s' * (len(placed) > 1)}"
        what = f"{name} takes {many} without a name, not {count}."
        hint = f"give the others by their names; {hint}"
    else:
        lacks = next(word for word in taken if word not in (*placed[:count], *named))
        what = f"{name} needs {values[lacks].words if lacks in values else lacks}."
    return KitError(what, where=_typed(function, signature, given, named), hint=hint)


def _typed(
    function: Callable[..., Any], signature: inspect.Signature, given: Sequence[Any],
    named: Mapping[str, Any],
) -> str:  # fmt: skip
    """Give a call as it was typed, or nearly so."""
    own = given[1:] if "self" in signature.parameters else given
    shown = [*map(_short, own), *(f"{word}={_short(value)}" for word, value in named.items())]
    return f"{function.__name__}({', '.join(shown)})"


def _short(value: object) -> str:
    if callable(value) and hasattr(value, "__name__"):
        return str(value.__name__)
    text = repr(value).replace("\n", " ")
    return text if len(text) <= _MOST else f"{text[:_MOST]}..."
