"""Trial: one program, one tug, one table, for a limited time."""

from __future__ import annotations

import dataclasses
import gc
import hashlib
import math
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from operator import attrgetter

from .board.board import Board
from .board.diary import Stretch, busy_shares
from .board.engines import USUAL
from .board.faults import Restart
from .board.links import open_link
from .board.order import SILENCE_S, Patience
from .errors import KitError, UnknownNameError
from .origin import Whose
from .outcome import problem_of, serve
from .parts import Day, Quirks, seed_day
from .radio import Airwaves, HarbourRadio
from .recording import SAMPLE_NS, Event, Problem, Recording
from .saved import LONGEST_DAY
from .table import make_table
from .units import MS, ns
from .world import TugWorld

__all__ = ["MAX_SECONDS", "Session", "board_seed", "prepare", "run_trial", "with_lines"]

MAX_SECONDS = 600.0
_BOOT_NS = 350 * MS
"""From power to the program's first line (invented; such boards take 0.2 to 1 s)."""
_MAX_STARTS = 50
_WEAK = 0.3
"""A battery with more charge than that holds the board's supply under any load, even after the
longest trial: so the radio's calls need not ask for it."""
_GOES_ON = "(The board prints it, and the program goes on.)"


def run_trial(
    files: Mapping[str, str] | str,
    *,
    program: str = "main.py",
    table: str = "basin",
    serial: int = 0,
    seed: int = 0,
    seconds: float = 5.0,
    start: tuple[float, float, float] | None = None,
    charge: float | None = None,
    day: str | None = None,
    engine: str = USUAL,
    silence_s: float = SILENCE_S,
    lines: bool = False,
    air: Airwaves | None = None,
    whose: Whose = Whose.STRANGER,
    patience: Patience | None = None,
    tug: Quirks | None = None,
) -> Recording:
    """Run a program on the board of one tug on one table, and record what comes of it.

    The program runs in a process of its own.  When it ends, the tug's parts go
    on as they were left until the time is over, as the real ones would.

    Args:
        files: The files on the board, name to text; or the text of the program.
        program: The file to run.
        table: Name of the table.
        serial: The tug's serial number; 0 is the tug as drawn.
        seed: Seed of all noise, and of what varies on the table.
        seconds: Simulated time in s, more than 0 and at most 600.
        start: Where the tug stands at first: x and y in m, heading in rad.
        charge: How full the battery is, 0 to 1; None for as the day has it.
        day: Name of what this run has of its own (see `robotsim.parts.day`); None for the day
            that goes with the seed, "" for the ideal one.
        engine: "cpython", or "micropython" where it is installed; in a browser only that.
        silence_s: Real time in s that the program may go without touching its board.
        lines: Whether to note which line of the program is running; costs a little real time,
            changes nothing else, and only the engine "cpython" can tell.
        air: What is on the radio; None for the harbour's network, on which nobody speaks.
        whose: Whose program it is; a stranger's, and one of which nothing is said, runs confined.
        patience: For how long it is waited for in all, shared by several trials.
        tug: What the tug is like, where it is not as its serial number says: a twin (cable/).

    Returns:
        The recording; a program that fails is told there, not raised here.

    Raises:
        KitError: Bad arguments: each says what was given and what is accepted.  Or the program
            is a stranger's, and this system cannot confine it.
    """
    session = prepare(
        files, program=program, table=table, serial=serial, seed=seed, seconds=seconds,
        start=start, charge=charge, day=day, engine=engine, silence_s=silence_s, lines=lines,
        air=air, whose=whose, patience=patience, tug=tug,
    )  # fmt: skip
    with _collector_at_rest():
        session.run()
        return session.recording(table, float(seconds))


def prepare(
    files: Mapping[str, str] | str, *, program: str, table: str, serial: int, seed: int,
    seconds: float, start: tuple[float, float, float] | None = None, charge: float | None = None,
    day: str | None = None, engine: str = "cpython", silence_s: float = SILENCE_S,
    lines: bool = False, air: Airwaves | None = None, whose: Whose = Whose.STRANGER,
    patience: Patience | None = None, beside: Session | None = None, tug: Quirks | None = None,
) -> Session:  # fmt: skip
    """Set a tug on its table, with its board and the radio, for a trial that has not begun.

    Args and raises: as `run_trial`; `beside` is that of a tug on the same table.
    """
    files = {program: files} if isinstance(files, str) else dict(files)
    if program not in files:
        raise UnknownNameError("file on the board", program, files)
    if not (isinstance(seconds, (int, float)) and 0 < seconds <= MAX_SECONDS):
        raise KitError(
            f"A trial lasts more than 0 and at most {MAX_SECONDS:g} seconds, not {seconds!r}.",
            hint="give a number such as seconds=5.",
        )
    if start is not None and not _is_pose(start):
        raise KitError(
            f"A start is three numbers, x and y in m and the heading in rad, not {start!r}.",
            hint="leave it out to start at the table's own place.",
        )
    limit = ns(seconds)
    today = Day.of(_day_name(day, seed), serial)
    world = TugWorld(
        make_table(table, seed), tug or Quirks.of(serial), seed, start, charge, today,
        beside=beside.world if beside else None,
    )  # fmt: skip
    radio = HarbourRadio(air or Airwaves(), seed, serial, beside.radio if beside else None)
    return Session(
        world, radio, files, program, engine, silence_s, limit, serial, seed, whose,
        follow=lines, patience=patience or Patience(),
    )  # fmt: skip


@contextmanager
def _collector_at_rest() -> Iterator[None]:
    """Keep Python from looking for rings of garbage again and again while a recording grows.

    A trial makes tens of thousands of small things, and no rings among them to speak of.
    """
    works = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if works:
            gc.enable()


def with_lines(
    recording: Recording, air: Airwaves | None = None, *, rerun: bool = False
) -> Recording:
    """Give a recording with the lines that were running, by running its trial again.

    The same trial does the same again, so only the lines are new.  Where it does not, or the
    engine cannot tell its lines, or two tugs were on the table, the recording comes back as it
    was; and so does one that was not made here, unless that is asked for.

    Args:
        recording: What is to be followed.
        air: What was on the radio.
        rerun: Whether also the program of a recording that was loaded may be run: confined.

    Raises:
        KitError: A loaded one is to be run, and this system cannot confine its program.
    """
    whose = recording.whose or (Whose.STRANGER if rerun else None)
    alone = recording.beside is None
    if recording.lines or recording.engine != "cpython" or whose is None or not alone:
        return recording
    start = tuple(recording.tracks[name][0] for name in ("x", "y", "heading"))
    again = run_trial(
        recording.files, program=recording.program, table=recording.table,
        serial=recording.serial, seed=recording.seed, seconds=recording.seconds,
        start=(start[0], start[1], start[2]), air=air, lines=True, whose=whose,
        day=recording.day, charge=recording.charge,
    )  # fmt: skip
    # The start was rounded to a millionth, so the poses may be off by as little.
    apart = math.dist(again.end[:2], recording.end[:2])
    if apart > 1e-3 or (again.ended, len(again.events)) != (recording.ended, len(recording.events)):
        return recording
    return dataclasses.replace(recording, lines=again.lines)


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


def _day_name(day: str | None, seed: int) -> str:
    """Give the name of the day of a trial."""
    if day is None:
        return seed_day(seed)
    if not isinstance(day, str) or len(day) > LONGEST_DAY:
        raise KitError(
            f"A day's name is a text of at most {LONGEST_DAY} characters, not {day!r}.",
            hint="leave it out for the day of the seed; '' is the ideal day.",
        )
    return day


def _is_pose(start: object) -> bool:
    """Tell whether something is three finite numbers."""
    if not isinstance(start, (tuple, list)) or len(start) != 3:
        return False
    return all(isinstance(n, (int, float)) and math.isfinite(n) for n in start)


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
            build=self.world.build,
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
        with open_link(
            self.files, self.program, self.engine, self.silence_s,
            board_seed(self.seed, self.serial), self.follow, whose=self.whose, flash=self.flash,
            cause=self.cause, patience=self.patience,
        ) as link:  # fmt: skip
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
