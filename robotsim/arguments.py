"""Arguments: what a command says to a command line that it cannot read."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Sequence
from typing import NoReturn

from .errors import nearest

__all__ = ["Parser"]

_LONG_DASH = re.compile("[\u2013\u2014\u2212]+-*(?=[a-z])")
"""What a word processor makes of two hyphens: en dash, em dash, minus sign."""

_SEVERAL = "words that belong together want quotation marks."
_FIGURE = re.compile(r"-?[.\d]+")
_NO_NUMBER = re.compile("invalid (int|float) value: (.*)")


class Parser(argparse.ArgumentParser):
    """Says what is wrong, and what was probably meant, in two lines; not the whole usage.

    The one that is made first has a command each for its first argument.
    """

    def error(self, message: str, hint: str = "") -> NoReturn:
        """Say what is wrong and what to try, and end the command."""
        hint = hint or self._guess(message) or f"`{self.prog} --help`"
        message = _NO_NUMBER.sub(_in_words, message)
        self.tell(f"{message[:1].upper()}{message[1:]}.", f"  Try: {hint}")
        raise SystemExit(2)

    def tell(self, *rows: str) -> None:
        """Write rows to the person at the terminal."""
        print(*rows, sep="\n", file=sys.stderr)

    def parse_args(  # type: ignore[override]
        self, args: Sequence[str] | None = None, namespace: None = None
    ) -> argparse.Namespace:
        """Read a command line; what nobody asked for is told by the command that it was given."""
        given = [*(sys.argv[1:] if args is None else args)]
        (commands,) = (one.choices for one in self._actions if isinstance(one.choices, dict))
        first = given[0] if given[1:] and given[1] in commands else ""
        if first and not first.startswith("-") and not nearest(first, commands):
            self.error(f"the command comes first, then {given[0]}", f"did you mean `{given[1]}`?")
        if given and given[0] in commands:
            given[1:] = [commands[given[0]]._with_hyphens(word) for word in given[1:]]
        found, more = self.parse_known_args(given, namespace)
        if more:
            commands[given[0]]._seat(found, more)
        return found

    def _with_hyphens(self, word: str) -> str:
        """Give an option that was written with a long dash as it should be."""
        plain = _LONG_DASH.sub("--", word, count=1)
        meant = nearest(plain.partition("=")[0], self._option_string_actions)
        return plain if _LONG_DASH.match(word) and meant else word

    def _seat(self, found: argparse.Namespace, more: list[str]) -> None:
        """Put words that stand behind an option where those before it would have gone.

        `argparse` lets a place that may stay empty stay so as soon as an option comes.
        """
        empty = [one for one in self._actions if not one.option_strings and one.nargs in ("?", "*")]
        for action in () if any(word.startswith("-") for word in more) else empty:
            if action.nargs == "*":
                setattr(found, action.dest, [*getattr(found, action.dest), *more])
                return
            if more and getattr(found, action.dest) == action.default:
                setattr(found, action.dest, self._get_value(action, more.pop(0)))
        if more:
            message, several = f"there is no place for: {' '.join(more)}", _SEVERAL
            if all(map(_FIGURE.fullmatch, more)):
                several = ("figures that belong together are joined by commas, without spaces; a "
                           "name with a space in it wants quotation marks.")  # fmt: skip
            self.error(message, self._guess(message) or self._behind(found, more) or
                       f"`{self.prog} --help` has all places; {several}")  # fmt: skip

    def _behind(self, found: argparse.Namespace, more: list[str]) -> str:
        """Give the one option behind which a word may have been meant to stand; "" for several."""
        free = [one for one in self._actions if one.option_strings and one.nargs is None
                and getattr(found, one.dest) == one.default]  # fmt: skip
        if len(free) != 1 or len(more) != 1 or more[0].startswith("-"):
            return ""
        return f"did you mean `{free[0].option_strings[-1]} {more[0]}`?"

    def _guess(self, message: str) -> str:
        """Give the nearest known word to one that is not known; "" if there is none."""
        words = {word for action in self._actions for word in action.option_strings}
        for action in self._actions:
            words |= {str(word) for word in action.choices or ()}
        for word in re.split(r"[\s'=:,]+", message):
            if word not in words and (guess := nearest(word, words)):
                return f"did you mean `{guess}`?"
        return ""


def _in_words(found: re.Match[str]) -> str:
    return f"{found[2]} is no {'whole ' * (found[1] == 'int')}number"
