"""Card: what the led power-up has found: what to mend, what was measured, and the board's files."""

from __future__ import annotations

import html
import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ..errors import KitError
from ..twin.build import read_build
from ..twin.figures import load, mapping
from ..twin.settings import settings_text
from ..twin.tug_file import TugFile
from ..wiring import PINS, Build

__all__ = ["IN_SETTINGS", "Card", "Mend", "to_mend"]


@dataclass(frozen=True)
class Mend:
    """One thing that is not as it should be.

    Attributes:
        part: Which part.
        what: What was found.
        cure: What to do.
    """

    part: str
    what: str
    cure: str

    def __str__(self) -> str:
        """Say it in a line."""
        return f"{self.part}: {self.what}: {self.cure}"


IN_SETTINGS = "in settings.py: the one beside this card has that done"
"""Where pins are swapped: whoever swaps them once more has the fault again."""


@dataclass
class Card:
    """What was found, part by part.

    Attributes:
        pins: Role to pin, as this tug is wired.
        known: What its tug.json holds already; what is measured anew takes its place.
        found: Part to what was found there: a line for what is as it should be, and what is to be
            mended.  Parts that are not looked at this time keep what was found before.
        part: The part that is being looked at.
        noted: Whether anything was found this time.
        left: Parts that were left out, or what of them: the first word is the part.
        command: With what this power-up was begun, in a terminal.
        lamp_order: "GRB" or "RGB"; "" if it was not seen.
        start: Side to the duty at which its wheel begins to turn, 0 to 1.
        arm_trim_us: Pulse for straight ahead, less 1500 us.
        white, black: Volts of each eye over white and over black.
        gyro_bias, accel_bias: Of the motion sensor at rest: rad/s and g, x y z.
        battery: Volts at rest, and with both motors driven.
        networks: Names that were heard.
        when: The day, as the card is to bear it.
    """

    pins: dict[str, int] = field(default_factory=lambda: dict(PINS))
    known: Mapping[str, Any] = field(default_factory=dict)
    found: dict[str, list[str | Mend]] = field(default_factory=dict)
    part: str = ""
    noted: bool = False
    left: list[str] = field(default_factory=list)
    lamp_order: str = ""
    start: dict[str, float] = field(default_factory=dict)
    arm_trim_us: float | None = None
    white: tuple[float, ...] = ()
    black: tuple[float, ...] = ()
    gyro_bias: tuple[float, ...] = ()
    accel_bias: tuple[float, ...] = ()
    battery: tuple[float, ...] = ()
    networks: tuple[str, ...] = ()
    when: str = ""
    command: str = "python3 robotsim powerup --port PORT"

    @classmethod
    def of(cls, data: Mapping[str, Any]) -> Card:
        """Begin with what a tug.json says.

        Raises:
            KitError: Something in it cannot be.
        """
        return cls(pins=dict(read_build(data).pins), known=data, found=_found(data))

    @property
    def build(self) -> Build:
        """How this tug is put together."""
        return read_build({**self.known, "pins": self.pins})

    def belongs_to(self, board: str) -> None:
        """Note whose it is.

        Args:
            board: The number that the board alone has.

        Raises:
            KitError: It is another board's.
        """
        if (own := self.known.get("board", board)) != board:
            raise KitError(
                f"This card is another board's: {own}; the one at the cable is {board}.",
                where="board", hint="--to FOLDER begins a card of its own. If a new board was put "
                'into the same tug, take the line "board" out of its tug.json.',
            )  # fmt: skip
        self.known = {**self.known, "board": board}

    def __bool__(self) -> bool:
        """Whether anything was looked at."""
        return self.noted

    @contextmanager
    def look_at(self, part: str) -> Iterator[None]:
        """Note what is found of a part in place of what was found there before.

        Who stops before anything was found leaves that as it was.
        """
        before, self.part, self.found[part] = self.found.get(part), part, []
        try:
            yield
        finally:
            if not self.found[part] and before:
                self.found[part] = before

    def well(self, row: str) -> None:
        """Note what is as it should be."""
        self._note(row)

    def mend(self, part: str, what: str, cure: str) -> None:
        """Note what is not as it should be."""
        self._note(Mend(part, what, cure))

    def _note(self, row: str | Mend) -> None:
        self.noted = True
        self.found.setdefault(self.part, []).append(row)

    def forget(self, words: str) -> None:
        """Take back what was as it should be and begins so: it is no longer known."""
        for part, rows in self.found.items():
            kept = (row for row in rows if isinstance(row, Mend) or not row.startswith(words))
            self.found[part] = list(kept)

    def again(self, *parts: str) -> str:
        """Give the whole command that looks at some parts again."""
        options = dict.fromkeys(f"--part {part.split()[0]}" for part in parts)
        return f"`{' '.join([self.command, *options])}`"

    @property
    def _next(self) -> list[str]:
        """What is still to be looked at, and how: a sentence each."""
        rows = []
        if mended := [part for part, told in self.found.items()
                      if any(isinstance(one, Mend) for one in told)]:  # fmt: skip
            rows.append(f"Once that is mended, look again: {self.again(*mended)}")
        if self.left:
            left = ", ".join(self.left)
            rows.append(f"Left out: {left}. To look there: {self.again(*self.left)}")
        return rows

    @property
    def good(self) -> list[str]:
        """What is as it should be, a line each."""
        return [row for rows in self.found.values() for row in rows if isinstance(row, str)]

    @property
    def mends(self) -> list[Mend]:
        """What is not."""
        return [row for rows in self.found.values() for row in rows if isinstance(row, Mend)]

    @property
    def settings(self) -> str:
        """The text of settings.py for this board."""
        return settings_text(self.data)

    @property
    def data(self) -> dict[str, Any]:
        """What tug.json holds: pins, and what was measured, in SI units."""
        measured = {
            "lamp_order": self.lamp_order, "start": self.start, "arm_trim_us": self.arm_trim_us,
            "white_volts": list(self.white), "black_volts": list(self.black),
            "gyro_bias": list(self.gyro_bias), "accel_bias": list(self.accel_bias),
            "battery_volts": list(self.battery),
        }  # fmt: skip
        found = {name: value for name, value in measured.items() if value not in ("", None, [], {})}
        known = {name: value for name, value in self.known.items()
                 if name != "start_on_block" or not self.start}  # fmt: skip
        return {"what": "one tug, as the led power-up has measured it", "version": 1,
                **known, "pins": self.pins, **found,
                "found": {part: [row if isinstance(row, str) else vars(row) for row in rows]
                          for part, rows in self.found.items()}}  # fmt: skip

    @property
    def json(self) -> str:
        """The text of tug.json."""
        return json.dumps(self.data, indent=2) + "\n"

    def __str__(self) -> str:
        """Say it in lines."""
        if not self:
            rows = ["Nothing was looked at."]
        elif self.mends:
            rows = [f"To mend ({len(self.mends)}):", *(f"  - {mend}" for mend in self.mends)]
        else:
            rows = ["Nothing is to be mended" + (" so far." if self.left else ".")]
        if self.good:
            rows += ["As it should be:", *(f"  - {row}" for row in self.good)]
        rows += self._next if self else []
        return "\n".join(rows)

    @property
    def page(self) -> str:
        """The card as a page to print, which needs no colour and no network."""
        mends = "".join(
            f"<tr><td>&#9744;</td><th scope='row'>{html.escape(m.part)}</th>"
            f"<td>{html.escape(m.what)}</td><td>{html.escape(m.cure)}</td></tr>" for m in self.mends
        )  # fmt: skip
        head = "<tr><th scope='col'>done</th><th scope='col'>part</th><th scope='col'>found</th>"
        table = f"<table>{head}<th scope='col'>what to do, motor power off</th></tr>{mends}</table>"
        good = "".join(f"<li>{html.escape(row)}</li>" for row in self.good)
        board = f"board {self.known['board']}" if "board" in self.known else ""
        whose = html.escape(", ".join(filter(None, (self.when, board))))
        after = "".join(f"<p>{html.escape(row)}</p>" for row in self._next)
        return (
            "<!doctype html><html lang='en'><meta charset='utf-8'><title>Power-up card</title>"
            "<style>body{font-family:sans-serif;max-width:48em;margin:2em auto;color:#000}"
            "table{border-collapse:collapse}td,th{border:1px solid #000;padding:4px 8px;"
            "text-align:left;vertical-align:top}</style><h1>Power-up card</h1>"
            "<p>Wheels off the table until all below is done. Local rules and licensed practice "
            f"come first.</p><p>Tug: ____________________ {whose}</p>"
            f"<h2>To mend</h2>{table if mends else '<p>Nothing.</p>'}"
            f"<h2>As it should be</h2><ul>{good}</ul>{after}</html>\n"
        )


def to_mend(tug: TugFile) -> str:
    """Say what a tug's card has found to mend; "" for nothing.

    Args:
        tug: Its tug.json, or what that holds.

    Raises:
        KitError: It cannot be read.
    """
    mends = Card.of(tug if isinstance(tug, Mapping) else load(Path(tug))).mends
    told = "; ".join(f"{mend.part}: {mend.what}" for mend in mends)
    return told and f"This tug's card has to mend: {told}. A program that needs that will miss it."


def _found(data: Mapping[str, Any]) -> dict[str, list[str | Mend]]:
    """Give what a tug.json says of its parts; it was written from `found`.

    Raises:
        KitError: It was written by something else.
    """
    try:
        return {part: [row if isinstance(row, str) else Mend(**row) for row in rows]
                for part, rows in mapping(data, "found").items()}  # fmt: skip
    except TypeError as fault:
        raise KitError("What was found of the parts cannot be read.", where="found",
                       hint="take it out of the file: the led power-up writes it anew."
                       ) from fault  # fmt: skip
