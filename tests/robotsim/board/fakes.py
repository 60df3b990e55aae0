"""A quiet world and a scripted program for tests of the board."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from robotsim.board.board import Board
from robotsim.board.faults import Ended, Restart, TimeUp
from robotsim.board.ports import Hear
from robotsim.errors import LinkError
from robotsim.units import SECOND
from robotsim.wiring import Signal

EXAMPLES: dict[bytes, bytes] = {
    b"m": b"m 13 out ", b"o": b"o 13 1", b"I": b"I 19", b"P": b"P 25 1000 u16 30000",
    b"d": b"d 25 100", b"e": b"e 25 100", b"g": b"g 25 1000", b"Q": b"Q 25 u16", b"p": b"p 25",
    b"a": b"a 36 3", b"A": b"A 36", b"U": b"U 36", b"n": b"n 13 1 80ff01",
    b"X": b"X 22 21 104 400000 75 1", b"t": b't "ahoy\\n"', b"T": b"T", b"c": b"c 5", b"s": b"s 10",
    b"S": b"S 10", b"J": b"J 0 1000 1", b"j": b"j 0", b"Y": b"Y", b"N": b"N", b"R": b"R hard",
    b"w": b'w {"kind": "KeyError", "message": "gone", "calls": [["main.py", 3, "f"]]}',
    b"b": b"b", b"l": b"l 0 3", b"H": b"H 10", b"W": b"W 19 1 10", b"i": b"i 19 3",
    b"f": b"f 6c6f67 0 61686f79", b"v": b"v 6c6f67", b"r": b"r 6c6f67 6f6c64", b"k": b"k 6461792f",
    b"C": b"C scan", b"q": b"q", b"z": b"z 3", b"Z": b"Z 3",
    b"x": b'x {"kind": "KeyError", "message": "gone", "calls": []}', b".": b".",
}  # fmt: skip
"""One message of each kind, as they make sense after `SET_UP`."""
SET_UP = [b"P 25 1000 u16 30000"]
BEFORE = {
    b"b": [b"A 36 39 34 35"], b"v": [b"f 6c6f67 0 61686f79"], b"r": [b"f 6c6f67 0 61686f79"],
}  # fmt: skip
"""What must have been said just before a message."""


class FakeWorld:
    """Notes what the board puts out, and gives steady readings."""

    def __init__(self, volts: float = 1.0, level: int | None = None) -> None:
        self.given_volts, self.given_level = volts, level
        self.outputs: list[tuple[int, int, Signal]] = []
        self.frames: list[tuple[int, bytes, int, int]] = []
        self.transfers: list[tuple[tuple[int, int], int, bytes, int]] = []
        self.answer: bytes | None = None

    def output(self, pin: int, signal: Signal, at_ns: int) -> None:
        self.outputs.append((at_ns, pin, signal))

    def volts(self, pin: int, time_ns: int) -> float:
        return self.given_volts

    def glance(self, pin: int, time_ns: int) -> float | None:
        return self.given_volts

    def level(self, pin: int, time_ns: int) -> int | None:
        return self.given_level

    def edge(self, pins: tuple[int, ...], since_ns: int, until_ns: int) -> int | None:
        return None

    def frame(self, pin: int, data: bytes, timing: int, time_ns: int) -> Any:
        self.frames.append((pin, data, timing, time_ns))
        return ((0, 0, 0),) * 5

    def transfer(
        self, bus: tuple[int, int], address: int, written: bytes, count: int, time_ns: int
    ) -> bytes | None:
        self.transfers.append((bus, address, written, count))
        return self.answer


class Script:
    """A program that says a list of messages; it answers each callback at once.

    Args:
        lines: What the program says.
        watch: Called before each message.
        in_callback: What the program says in each callback, before its `.`.
    """

    def __init__(
        self,
        lines: Iterable[bytes],
        watch: Callable[[bytes], None] = lambda line: None,
        in_callback: Iterable[bytes] = (),
    ) -> None:
        self.lines: Iterator[bytes] = iter(lines)
        self.watch, self.in_callback = watch, [*in_callback, b"."]
        self.first: list[bytes] = []
        self.replies: list[bytes] = []
        self.said: list[bytes] = []

    def talk(self, hear: Hear) -> Mapping[str, Any]:
        """Say it all to a board; give the last word, an empty one without any."""
        try:
            while line := self.first.pop(0) if self.first else next(self.lines, b""):
                self.watch(line)
                self.said.append(line)
                if reply := hear(line):
                    self.replies.append(reply)
                    if reply.startswith(b">"):
                        self.first = [*self.in_callback, *self.first]
        except Ended as end:
            return end.word
        return {}


def serve(
    lines: Iterable[bytes], world: Any = None, *, limit_ns: int = 10 * SECOND,
    in_callback: Iterable[bytes] = (),
) -> tuple[Board, Script, str]:  # fmt: skip
    """Let a board carry out messages; give it, the program, and how it ended."""
    script = Script(lines, in_callback=in_callback)
    board = Board(world or FakeWorld(), limit_ns)
    try:
        ended = script.talk(board.hear).get("kind", "gone")
    except (TimeUp, LinkError, Restart) as end:
        ended = type(end).__name__
    return board, script, ended


def answers(*lines: bytes, world: Any = None) -> list[bytes]:
    """Give the board's replies to messages that it must understand."""
    _, door, ended = serve([*lines, b"q"], world)
    assert ended == "finished", ended
    return door.replies
