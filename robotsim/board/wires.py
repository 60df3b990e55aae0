"""Wires: what goes out bit by bit, to the lamps, over I2C and to the console."""

from __future__ import annotations

import json

from . import costs
from .faults import BoardFault
from .unit import MAX_BYTES, Handlers, Unit
from .words import pin_number

__all__ = ["Wires"]

_MANY = 1 << 31


class Wires(Unit):
    """The board's serial outputs and its I2C bus."""

    def handlers(self) -> Handlers:
        """Give the messages that this unit carries out."""
        return {b"n": self._frame, b"X": self._transfer, b"t": self._print}

    def _frame(self, pin: bytes, timing: bytes, data: bytes) -> None:
        sent = bytes.fromhex(data.decode())
        number, speed = pin_number(pin), int(timing)
        if len(sent) > MAX_BYTES or speed not in (0, 1):
            raise ValueError(len(sent))
        self.board.note("frame", number, speed, sent.hex())
        shown = self.world.frame(number, sent, speed, self.board.now_ns)
        self.board.now_ns += costs.frame(len(sent), speed)
        if shown is not None:
            self.board.note("lamps", shown)

    def _transfer(
        self, scl: bytes, sda: bytes, address: bytes, freq: bytes, written: bytes, count: bytes
    ) -> bytes:
        sent = b"" if written == b"-" else bytes.fromhex(written.decode())
        number, length = int(address), int(count)
        if not 0 <= length <= MAX_BYTES or not 1 <= int(freq) <= 1_000_000:
            raise ValueError(length)
        board = self.board
        board.now_ns += costs.transfer(len(sent), length, int(freq))
        got = self.world.transfer((int(scl), int(sda)), number, sent, length, board.now_ns)
        if got is None:
            if 0 <= number < _MANY:  # of any other number nothing goes over the wires
                board.note("nack", number)
            raise BoardFault("OSError", "[Errno 19] ENODEV")
        board.note("i2c", number, sent.hex(), got.hex())
        return got.hex().encode()

    def _print(self, *words: bytes) -> None:
        text = json.loads(b" ".join(words))
        if not isinstance(text, str):
            raise ValueError(text)
        self.write(text)

    def write(self, text: str) -> None:
        """Send a text to the console."""
        self.board.note("print", text)
        # The console's newline goes out as two characters, as on the real board.
        sent = len(text.encode("utf-8", "replace")) + text.count("\n")
        self.board.now_ns += max(sent * costs.CHARACTER, costs.NOTICE)
