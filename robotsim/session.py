"""Session: a program on its board from power-up to the end of its time, through all restarts."""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Mapping
from operator import attrgetter

from . import core
from .board.board import Board
from .board.diary import Stretch, busy_shares
from .board.faults import Restart
from .board.links import AnyLink, open_link
from .board.order import Patience
from .origin import Whose
from .outcome import problem_of, serve
from .radio import HarbourRadio
from .recording import SAMPLE_NS, Event, Problem, Recording
from .units import MS
from .world import TugWorld

__all__ = ["Session", "board_seed"]

_BOOT_NS = 350 * MS
"""From power to the program's first line (invented; such boards take 0.2 to 1 s)."""
_MAX_STARTS = 50
_WEAK = 0.3
"""A battery with more charge than that holds the board's supply under any load, even after the
longest trial: so the radio's calls need not ask for it."""
_GOES_ON = "(The board prints it, and the program goes on.)"


def board_seed(seed: int, serial: int) -> int:
    """Give the seed of the random numbers that the board itself offers to its program.

    It comes of the trial's by a function that cannot be turned round, for the trial's own would
    tell a program what noise and which table it is about to meet.
    """
    mark = hashlib.sha256(f"board {serial} {seed}".encode()).digest()
    return int.from_bytes(mark[:4], "big")


def _kept(flash: Mapping[str, bytes], files: Mapping[str, str]) -> dict[str, str]:
    """Give the files that a program has written, as text."""
    texts = {name: data.decode("utf-8", "backslashreplace") for name, data in flash.items()}
    return {name: text for name, text in texts.items() if files.get(name) != text}


@dataclasses.dataclass
class Session:
    """A program on its board from power-up to the end of the trial, through all restarts."""

    world: TugWorld
    radio: HarbourRadio
    files: Mapping[str, str]
    program: str
    engine: str
    silence_s: float
    limit: int
    serial: int
    seed: int
    whose: Whose
    follow: bool = False
    patience: Patience = dataclasses.field(default_factory=Patience)
    ended: str = ""
    ended_ns: int = 0
    problem: Problem | None = None
    events: tuple[Event, ...] = ()
    lines: list[tuple[int, str, int]] = dataclasses.field(default_factory=list)
    busy: list[Stretch] = dataclasses.field(default_factory=list)

    def __post_init__(self) -> None:
        """Lay the files on the board's flash, which outlasts every restart; plug in the radio."""
        self.world.radio_draws = self.radio.draws
        if self.world.battery.charge < _WEAK:
            self.radio.supply = self.world.advance_to
        self.cause = "power"
        self.board: Board | None = None
        self.flash = {
            name: text.encode("utf-8", "backslashreplace") for name, text in self.files.items()
        }
        self._ahead: AnyLink | None = None

    def start_ahead(self) -> None:
        """Start the program before its time: it comes as far as its board's first answer."""
        self._ahead = self._open()

    def drop(self) -> None:
        """End a program that was started ahead, if it has not been needed."""
        ahead, self._ahead = self._ahead, None
        if ahead is not None:
            with ahead:
                pass

    def run(self) -> None:
        """Start the board, and again as often as it needs, until the time is over."""
        start_ns, starts = 0, 0
        kept: list[Event] = []
        while not self.ended:
            restart = self._start(start_ns, kept)
            if restart:
                self.cause = restart.cause
                kept = [e for e in kept if e.time_ns <= restart.at_ns]
                kept.append(Event(restart.at_ns, "reset", (restart.cause,)))
                self.busy = [(a, min(b, restart.at_ns)) for a, b in self.busy if a < restart.at_ns]
                self.world.let_go(restart.at_ns)
                self.radio.power_off(restart.at_ns)
                start_ns, starts = restart.at_ns + _BOOT_NS, starts + 1
                if start_ns >= self.limit:
                    self._end("time is up", self.limit, kept)
                elif starts > _MAX_STARTS:
                    self.problem = Problem(
                        "stopped",
                        "The board started anew too often.",
                        hint="is the battery empty, or does the program call machine.reset()?",
                    )
                    self._end("stopped", restart.at_ns, kept)

    def recording(self, table: str, seconds: float) -> Recording:
        """Give what came of it, once it is over."""
        tracks = self.world.tracks
        tracks["busy"] = busy_shares(self.busy, SAMPLE_NS, len(tracks["t"]))
        return Recording(
            program=self.program, files=self.files, table=table, serial=self.serial,
            seed=self.seed, seconds=seconds, engine=self.engine, ended=self.ended,
            ended_ns=self.ended_ns, problem=self.problem, events=self.events,
            tracks=tracks, lines=tuple(self.lines), kept=_kept(self.flash, self.files),
            whose=self.whose, day=self.world.day.name, charge=self.world.charge,
            core="compiled" if core.state is core.Core.COMPILED else "plain",
            build=self.world.build, twin=self.world.twin_of,
        )  # fmt: skip

    def hear(self, message: bytes) -> bytes:
        """Let the board carry out a message; live mode takes its time with it."""
        assert self.board
        return self.board.hear(message)

    def rest(self) -> None:
        """Let the parts go on, after the program's end, until the time is over."""
        self.world.advance_to(self.limit)

    def _start(self, start_ns: int, events: list[Event]) -> Restart | None:
        """Run the program until it has ended and the time is over, or the board starts anew."""
        board = self.board = Board(
            self.world, self.limit, self.serial, start_ns, self.flash, self.radio,
            self.world.converter,
        )  # fmt: skip
        with self._ahead or self._open() as link:
            self._ahead, link.silence_s = None, self.silence_s
            try:
                ended, self.problem = serve(board, link, self.hear, self.files)
                if self.problem is None and board.faults:
                    self.problem = problem_of(board.faults[0], self.files, {})
                    hint = f"{self.problem.hint} {_GOES_ON}".strip()
                    self.problem = dataclasses.replace(self.problem, hint=hint)
                self.rest()
            except Restart as restart:
                return restart
            finally:
                events += board.events
                self.busy += board.diary.busy(min(board.now_ns, self.limit))
                self._keep_lines(board.lines)
        self._end(ended, board.now_ns, events)
        return None

    def _open(self) -> AnyLink:
        return open_link(
            self.files, self.program, self.engine, self.silence_s,
            board_seed(self.seed, self.serial), self.follow, whose=self.whose, flash=self.flash,
            cause=self.cause, patience=self.patience,
        )  # fmt: skip

    def _keep_lines(self, told: list[tuple[int, int, int]]) -> None:
        """Keep the lines that are there: the program's process said so, and it may say anything."""
        names = list(self.files)
        self.lines += [(at, names[file], line) for at, file, line in told if 0 <= file < len(names)]

    def _end(self, how: str, at_ns: int, events: list[Event]) -> None:
        """Note the end; what would have come after the trial's time is left out."""
        self.ended, self.ended_ns = how, min(at_ns, self.limit)
        if self.world.now_ns < self.limit:
            self.world.advance_to(self.limit)
        self.radio.advance(self.limit)
        happened = (*events, *self.world.happened, *self.radio.happened)
        within = [e for e in happened if e.time_ns < self.limit]
        within.append(Event(self.ended_ns, "end", (how,)))
        self.events = tuple(sorted(within, key=attrgetter("time_ns")))
