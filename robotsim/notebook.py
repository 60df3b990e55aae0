"""In a notebook: `%%program` puts a cell on the board as a file, `run` runs it.

Importing this module inside IPython registers the magic.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from types import NoneType
from typing import Any

from .board.engines import USUAL
from .board_files import FLASH, MAGIC, Flash, missing, program_cell, text_mark, used_by
from .calls import FILES, NAME, TABLE, TUG, Value, called_as
from .company import Mate, run_beside
from .errors import KitError
from .first_line import with_body
from .locker import own_locker
from .origin import Whose
from .own_tug import OWN_SERIAL, find_card, own_serial
from .parts import seed_day
from .radio import Airwaves
from .recording import Recording
from .table import make_table
from .trial import run_trial, with_lines
from .twin.settings import SETTINGS
from .twin.tug_file import TugFile, Twin, charge_of, read_tug

__all__ = [
    "FLASH", "MAGIC", "OWN_SERIAL", "Flash", "find_card", "missing", "own_serial", "program_cell",
    "register", "replay", "run", "text_mark", "used_by",
]  # fmt: skip


@called_as(
    'run("drive.py", seconds=5)', program=NAME, table=TABLE, files=FILES, tug=TUG,
    air=Value((Airwaves, NoneType), "what is on the radio: Airwaves(...)"),
)  # fmt: skip
def run(
    program: str,
    *,
    beside: tuple[Any, ...] = (),
    runs: int = 1,
    table: str = "basin",
    seconds: float = 5.0,
    serial: int | None = None,
    seed: int = 0,
    start: tuple[float, float, float] | None = None,
    engine: str = USUAL,
    files: Mapping[str, str] | None = None,
    targets: Any = (),
    picture: bool = True,
    replay: bool = False,
    air: Airwaves | None = None,
    whose: Whose = Whose.STRANGER,
    tug: TugFile | None = None,
    volts: float | None = None,
) -> Recording | tuple[Recording, ...]:
    """Run a program that is on the board, and show what came of it.

    Args:
        program: The file's name, as in `%%program drive.py`.
        beside: A second tug on the same table and on the same radio: the program that it runs and
            its number, as in `("b.py", 12)`; third, if you wish, where it stands at first.
        runs: How often, each time as another day has it: 1, or up to 6 laid over each other.
        table: The table's name.
        seconds: Simulated time in s.
        serial: The tug's serial number; None for your own tug.
        seed: Seed of all noise, of what varies on the table and of what no two runs share.
        start: Where the tug stands at first: x, y in m, heading in rad.
        engine: What interprets the program.
        files: Files to use in place of the board's.
        targets: What to draw beside the path (see `robotsim.show`).
        picture: Whether to show the outcome.
        replay: Whether to show it as a replay, with the line of the program that was running.
        air: What is on the radio, such as orders; None for a network on which nobody speaks.
        whose: Whose the files are, if some are given; those on this notebook's board are its own.
        tug: The `tug.json` of a real one, whose twin runs, wired and built as that one is.  A
            board without `settings.py` gets that tug's.
        volts: What the battery rests at, in V, as a board reads it; None for what `tug` says of
            it, or as the day has it.

    Returns:
        The recording; of several runs, or of two tugs, a tuple of them.

    Raises:
        UnknownNameError: No such program is on the board.
        KitError: So many runs cannot be shown, or other arguments are bad.
    """
    twin = None if tug is None else read_tug(tug, volts)
    charge = charge_of(volts) if twin is None else twin.charge
    board: Mapping[str, str] = FLASH if files is None else files
    if twin:
        board = {SETTINGS: twin.settings, **board}
        _say_other_pins(board, twin)
    mate = _mate(beside, runs) if beside else None
    for name in (program, mate.program) if mate else (program,):
        if name not in board:
            raise missing(name, board)
    _ask_runs(runs)
    at = 0.0
    if picture and not replay:
        from .show.display import can_draw

        if not can_draw():  # the browser draws it, as a picture would be: at its end
            replay, at = True, seconds
    if files is None and (picture or replay) and (since := FLASH.note(program)):
        print(since)
    if twin and (picture or replay):
        print(twin.words)
    order: dict[str, Any] = {
        "program": program, "table": table, "seconds": seconds, "seed": seed, "start": start,
        "engine": engine, "air": air, "lines": replay,
        "serial": own_serial() if serial is None else serial,
        "whose": FLASH.whose if files is None else whose,
    }  # fmt: skip
    if mate and (twin or volts):
        raise KitError("The twin of a real tug, and one with another battery, runs alone.",
                       hint="leave out beside=, or tug= and volts=.")  # fmt: skip
    if mate:
        return _run_both(board, mate, order, targets, picture, at)
    recordings = _Runs(
        run_trial(board, **order, charge=charge, day=_day(seed, number),
                  tug=twin.quirks if twin else None)  # fmt: skip
        for number in range(runs)
    )
    if runs == 1:
        _show(recordings[0], seed, targets, picture, replay, at)
        return recordings[0]
    failed = next((made for made in recordings if made.problem), None)
    if failed and picture:
        _show(failed, seed, targets, picture, replay, at)
    elif picture or replay:
        from .show.repeats import show_repeats

        show_repeats(recordings, table=make_table(table, seed), targets=targets, replay=replay,
                     at=at)  # fmt: skip
    return recordings


class _Runs(tuple[Recording, ...]):
    """Several runs of one program, which a cell shows in one line where they ended alike."""

    def __repr__(self) -> str:
        """Say in a line each what ran and how it ended, and of equal lines how many there are."""
        told = Counter(map(repr, self))
        return "\n".join(f"{count} x {one}" for one, count in told.items())


def _run_both(
    board: Mapping[str, str], mate: Mate, order: Mapping[str, Any], targets: Any, picture: bool,
    at: float,
) -> tuple[Recording, Recording]:
    """Run two tugs on one table, and show them."""
    from .show.both import show_both

    made = run_beside(board, beside=mate, **order)
    if picture or order["lines"]:
        show_both(made, targets, replay=order["lines"], at=at)
    return made


def _mate(beside: object, runs: object) -> Mate:
    """Give the second tug as it was asked for.

    Raises:
        KitError: It is none, or more than one run was asked for.
    """
    if runs != 1:
        raise KitError("Two tugs are run once.", hint="leave out runs=, or beside=.")
    if isinstance(beside, (tuple, list)) and len(beside) in (2, 3):
        program, serial, *start = beside
        if isinstance(program, str) and type(serial) is int and serial >= 0:
            return Mate(program, serial, *start)
    raise KitError(
        f"A second tug is a program and a number, not {beside!r}.",
        hint='write beside=("b.py", 12); a third may be its start: (0.6, 0.4, 3.14).',
    )


def _say_other_pins(board: Mapping[str, str], twin: Twin) -> None:
    """Say in which line the settings on the board are those of a tug that is wired otherwise."""
    from .onto.fits import look_at_settings

    for wrong in look_at_settings(board, twin.build):
        print(wrong)


def _day(seed: int, number: int) -> str:
    """Give the name of a run's day; the first one is that of a single run."""
    return seed_day(seed) + (f", run {number + 1}" if number else "")


def _ask_runs(runs: object) -> None:
    """Refuse what cannot be shown.

    Raises:
        KitError: It cannot.
    """
    from .show.lines import MOST_RUNS

    if isinstance(runs, bool) or not isinstance(runs, int) or not 1 <= runs <= MOST_RUNS:
        raise KitError(
            f"A program is run 1 to {MOST_RUNS} times, not {runs!r}.",
            hint="give a number such as runs=5; another seed= gives other runs.",
        )


def _show(
    recording: Recording, seed: int, targets: Any, picture: bool, replay: bool, at: float
) -> None:
    """Show one run."""
    if replay:
        from .show.console import console
        from .show.replay import show_replay

        if text := console(recording):
            print(text)
        show_replay(recording, targets=targets, at=at)
    elif picture:
        from .show import show

        show(recording, table=make_table(recording.table, seed), targets=targets)


@called_as("replay(made), after made = run(...)", recordings=Value(Recording, "what run gave"))
def replay(
    *recordings: Recording, labels: Sequence[str] = (), at: float = 0.0,
    marks: Sequence[tuple[float, str]] = (), targets: Any = (), air: Airwaves | None = None,
    rerun: bool = False,
) -> None:  # fmt: skip
    """Show a recording as a replay, or lay several of one table over each other.

    The program's running line is shown where it is known.  Where it is not, a trial that was made
    in this notebook is run again to follow it; a recording that was loaded never is, unless you
    ask for it, and then its program is confined.

    Args:
        recordings: One, or up to six of one table.
        labels: A short name for each, such as ("mine", "worked").
        at: Where the replay begins, in s of simulated time.
        marks: Moments to point at: (s, a few words).
        targets: What to draw beneath the path (see `robotsim.show`).
        air: What was on the radio; without it the line that was running is not known where the
            radio spoke.
        rerun: Whether to run a loaded recording's program again, confined, to follow its lines.

    Raises:
        KitError: There are none or too many, labels are missing, the tables differ; or a
            loaded one is to be run again, and this system cannot confine it.
    """
    from .show.replay import show_replay

    told = (with_lines(recording, air, rerun=rerun) for recording in recordings)
    show_replay(*told, labels=labels, at=at, marks=marks, targets=targets)


def register() -> None:
    """Give the shell that runs here, if one does, the magic and the kit's words."""
    ipython = sys.modules.get("IPython")  # in a notebook it is there before us
    shell = ipython.get_ipython() if ipython else None
    if shell is None:
        return

    shell.input_transformers_cleanup.insert(0, with_body(MAGIC))

    def program(line: str, cell: str) -> None:
        """Put this cell on the board as a file: `%%program drive.py`."""
        print(FLASH.put(line.strip(), cell))

    shell.register_magic_function(program, magic_kind="cell", magic_name="program")
    if getattr(shell, "kernel", None) is not None:
        from .board.nursery import keep_nursery
        from .completion import attach
        from .shell import explain_to

        keep_nursery()
        attach(shell.kernel, MAGIC, FLASH)
        explain_to(shell, MAGIC)
        FLASH.keep_in(own_locker())
        shell.events.register("pre_run_cell", FLASH.refresh)


register()
