"""Shelf: the messages that a broker retains, each on the account of whoever published it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from .door import Limits
from .packets import Publish

__all__ = ["Shelf"]


class Shelf:
    """One retained message a topic; it is iterated over in the order of the topics' names."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[str, Publish]] = {}
        self._count: Counter[str] = Counter()
        self._bytes: Counter[str] = Counter()

    def __len__(self) -> int:
        """Give how many there are."""
        return len(self._kept)

    def __iter__(self) -> Iterator[Publish]:
        """Give the messages."""
        return (self._kept[topic][1] for topic in sorted(self._kept))

    def put(self, user: str, message: Publish, limits: Limits) -> bool:
        """Take a message in place of the one before, or none if it is empty; tell whether it fits.

        Where it does not fit nothing is retained under its topic: what was there is out of date.
        """
        self._drop(message.topic)
        if not message.payload:
            return True
        size = _size(message)
        if self._count[user] >= limits.retained or self._bytes[user] + size > limits.retained_bytes:
            return False
        self._kept[message.topic] = user, replace(message, duplicate=False, number=0)
        self._count[user] += 1
        self._bytes[user] += size
        return True

    def clear(self) -> None:
        """Forget all."""
        self._kept.clear()
        self._count.clear()
        self._bytes.clear()

    def _drop(self, topic: str) -> None:
        user, message = self._kept.pop(topic, ("", None))
        if message is not None:
            self._count[user] -= 1
            self._bytes[user] -= _size(message)


def _size(message: Publish) -> int:
    return len(message.topic.encode()) + len(message.payload)
