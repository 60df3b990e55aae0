"""Alike: programs of one task that are nearly the same, in groups.

Said neutrally: a short task has few ways to be done.  What a lesson itself offers, its starter, its
worked programs and what stands in its hints, is nobody's and counts for no likeness.
"""

from __future__ import annotations

import io
import json
import re
import tokenize
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

__all__ = ["Group", "groups_alike", "offered"]

_ALIKE = 0.9
_PIECE = 5
_LEAST = 40
_MOST_PAIRS = 400
"""More different programs than this are compared by equal ones only, not each with each."""
_FENCED = re.compile(r"```(?:python|py)?\n(.*?)```", re.S)


@dataclass(frozen=True)
class Group:
    """Learners whose programs are nearly the same.

    Attributes:
        learners: Who, in order.
        share: How much of what was added each has in common with the one most like it, at least.
    """

    learners: tuple[str, ...]
    share: float


def offered(handed_out: bytes) -> frozenset[str]:
    """Give the pieces of all programs that a lesson's own text offers."""
    found: set[str] = set()
    for cell in json.loads(handed_out)["cells"]:
        text = "".join(cell["source"])
        for program in [text] if cell["cell_type"] == "code" else _FENCED.findall(text):
            found.update(_pieces(re.sub(r"\A%%.*\n", "", program)))
    return frozenset(found)


def groups_alike(texts: Mapping[str, str], given: frozenset[str]) -> list[Group]:
    """Give the groups of programs that are nearly the same.

    Args:
        texts: Learner to program.
        given: Pieces that count for no likeness.
    """
    pieces = {who: frozenset(_pieces(text)) - given for who, text in texts.items()}
    same: dict[frozenset[str], list[str]] = defaultdict(list)
    for who, own in pieces.items():
        if len(own) >= _LEAST:
            same[own].append(who)
    kinds = list(same)
    above = list(range(len(kinds)))
    nearest = [1.0 if len(same[kind]) > 1 else 0.0 for kind in kinds]
    for k, j, share in _pairs(kinds):
        nearest[k], nearest[j] = max(nearest[k], share), max(nearest[j], share)
        above[_top(above, j)] = _top(above, k)
    together: dict[int, list[int]] = defaultdict(list)
    for k in range(len(kinds)):
        together[_top(above, k)].append(k)
    found = []
    for members in together.values():
        learners = tuple(name for k in members for name in same[kinds[k]])
        if len(learners) > 1:
            found.append(Group(learners, min(nearest[k] for k in members)))
    return found


def _pairs(kinds: Sequence[frozenset[str]]) -> Iterator[tuple[int, int, float]]:
    """Give each two that are nearly the same, and how much they share (Jaccard's index)."""
    for k, one in enumerate(kinds if len(kinds) <= _MOST_PAIRS else ()):
        for j in range(k + 1, len(kinds)):
            share = len(one & kinds[j]) / len(one | kinds[j])
            if share >= _ALIKE:
                yield k, j, share


def _top(above: list[int], k: int) -> int:
    """Follow a chain of groups that were put together to its end."""
    while above[k] != k:
        k = above[k]
    return k


def _pieces(text: str) -> Iterator[str]:
    """Give the runs of a few words that a program is made of, whatever its names are."""
    words = []
    try:
        for token in tokenize.generate_tokens(io.StringIO(text).readline):
            if token.type == tokenize.NAME:
                words.append(token.string if token.string in _KNOWN else "name")
            elif token.type in (tokenize.NUMBER, tokenize.STRING, tokenize.OP):
                words.append(token.string)
    except (tokenize.TokenError, SyntaxError, ValueError):
        words = text.split()
    for k in range(len(words) - _PIECE + 1):
        yield " ".join(words[k : k + _PIECE])


_KNOWN = set(
    "and as assert async await break class continue def del elif else except finally for from "
    "global if import in is lambda nonlocal not or pass raise return try while with yield Pin PWM "
    "ADC I2C Timer NeoPixel sleep sleep_ms range duty_u16 value write ticks_ms".split()
)
