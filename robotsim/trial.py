"""Trial: one program, one tug, one table, for a limited time."""

from __future__ import annotations

import dataclasses
import gc
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

from .board.direct import plugged_in
from .board.engines import USUAL
from .board.order import SILENCE_S, Patience
from .errors import KitError, UnknownNameError
from .origin import Whose
from .parts import Day, Quirks, seed_day
from .radio import Airwaves, HarbourRadio
from .recording import Recording
from .saved import LONGEST_DAY
from .session import Session
from .table import make_table
from .table.start import ask_start
from .units import ns
from .world import TugWorld

__all__ = ["MAX_SECONDS", "prepare", "run_trial", "run_trials", "with_lines"]

MAX_SECONDS = 600.0


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
    return _recorded(session, table, seconds)


def run_trials(
    files: Mapping[str, str],
    trials: Sequence[Mapping[str, Any]],
    silence_s: Callable[[Sequence[Recording]], float],
) -> Iterator[Recording]:
    """Run trials in turn; while one runs, the next one's program is started.

    A program waits at its board's first answer, so the recordings are those of `run_trial`.

    Args:
        files: The files on the board, name to text.
        trials: For each trial the arguments of `prepare`.
        silence_s: Gives a trial's `silence_s` from the recordings before it.

    Yields:
        A recording each.

    Raises:
        KitError: As `run_trial`.
    """
    done: list[Recording] = []
    ready: list[Session] = []
    try:
        for number, asked in enumerate(trials):
            for later in trials[number + len(ready) : number + 2]:
                ready.append(prepare(files, **later))
                if plugged_in() is None:  # else there is one interpreter, and it is taken
                    ready[-1].start_ahead()
            session = ready[0]
            session.silence_s = silence_s(done)
            done.append(_recorded(session, asked["table"], asked["seconds"]))
            del ready[0]
            yield done[-1]
    finally:
        for session in ready:
            session.drop()


def _recorded(session: Session, table: str, seconds: float) -> Recording:
    """Run a trial that is prepared to its end."""
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
    limit = ns(seconds)
    laid, quirks, today = make_table(table, seed), tug or Quirks.of(serial), _day_name(day, seed)
    world = TugWorld(
        laid, quirks, seed, ask_start(start, laid), charge, Day.of(today, serial),
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

    The same trial does the same again, so only the lines are new.  Where it does not, or two
    tugs were on the table, or a real one's twin, the recording comes back as it was; and so does
    one that was not made here, unless that is asked for.

    Args:
        recording: What is to be followed.
        air: What was on the radio.
        rerun: Whether also the program of a recording that was loaded may be run: confined.

    Raises:
        KitError: A loaded one is to be run, and this system cannot confine its program.
    """
    whose = recording.whose or (Whose.STRANGER if rerun else None)
    by_number = recording.beside is None and not recording.twin
    if recording.lines or whose is None or not by_number:
        return recording
    start = tuple(recording.tracks[name][0] for name in ("x", "y", "heading"))
    laid = make_table(recording.table, recording.seed)
    try:
        ask_start(start, laid)
    except KitError:
        return recording  # it was made when a tug could still be set down there, or so
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
