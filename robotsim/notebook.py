"""In a notebook: `%%program` puts a cell on the board as a file, `run` runs it.

Importing this module inside IPython registers the magic.
"""

from __future__ import annotations

import json
import os
import re
import sys
import warnings
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from .board.engines import USUAL
from .errors import KitError, UnknownNameError, nearest
from .locker import Locker, ago, own_locker
from .origin import Whose
from .parts import seed_day
from .radio import Airwaves
from .recording import Recording
from .table import make_table
from .trial import run_trial, with_lines

__all__ = [
    "FLASH", "MAGIC", "OWN_SERIAL", "Flash", "find_card", "missing", "own_serial", "program_cell",
    "register", "replay", "run",
]  # fmt: skip

MAGIC = "%%program"
MOST_RUNS = 6
"""So many paths can be told apart on one picture."""
OWN_SERIAL = 7
"""The serial number of a learner's tug where no card says otherwise."""
_CARD = "tug.json"
_GRADING = "NBGRADER_EXECUTION"
"""What nbgrader says to the notebooks that it runs (0.9.6, its converters/autograde.py)."""
_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*\.py")


class Flash(dict[str, str]):
    """The files on the board, name to text.

    Attributes:
        locker: Where they are kept from one day to the next; None where they are not.
    """

    locker: Locker | None = None
    _kept: frozenset[str] = frozenset()

    def keep_in(self, locker: Locker | None) -> None:
        """Take up what lies in a locker, and keep there what is put from now on."""
        self.locker = locker
        self.refresh()

    def refresh(self, *_: object) -> None:
        """Read the locker again: someone may have edited its files, or deleted one."""
        if self.locker is not None:
            try:
                there = self.locker.read()
            except OSError:  # what cannot be read now stays as it was
                return
            for name in self._kept - set(there):
                self.pop(name, None)
            self.update(there)
            self._kept = frozenset(there)

    def note(self, program: str) -> str:
        """Say since when a program and what it imports are on the board; "" where it is not kept.

        Says also where a cell has been changed since, if the notebook was saved after that.
        """
        if self.locker is None or self.locker.when(program) is None:
            return ""
        words = set(re.findall(r"\w+", self.get(program, "")))
        others = [n for n in self if n != program and n.removesuffix(".py") in words]
        told = [(n, self._changed(n)) for n in (program, *others)]
        since = ago(self.locker.when(program) or 0.0)
        more = "".join(f"; {'' if n == program else n + ': '}{what}" for n, what in told if what)
        return f"{program}, put on the board {since}{more}."

    def _changed(self, name: str) -> str:
        cells = self.locker.cells_since(name) if self.locker else None
        if cells is None:
            return ""
        programs = [found for cell in cells if (found := program_cell(cell.lstrip("\n")))]
        texts = [text.rstrip() for file, text in programs if file == name]
        if not texts:
            return "no cell of this notebook holds it now, so it would not be handed in"
        if self[name].rstrip() in texts:
            return ""
        return "its cell has been changed since: run that cell to put the new text on the board"

    @property
    def whose(self) -> Whose:
        """Whose they are: this person's own, but where nbgrader runs the work of others."""
        return Whose.STRANGER if os.environ.get(_GRADING) == "autograde" else Whose.OWN

    def put(self, name: str, text: str) -> str:
        """Write a file and say so in a line; a file that cannot run is kept, and told.

        Raises:
            KitError: The name is none that a board's file can have.
        """
        if not _NAME.fullmatch(name):
            raise KitError(
                f"A program's name is letters, digits and _ with .py at the end, not {name!r}.",
                hint=f"{MAGIC} drive.py",
            )
        self[name] = text
        lines = len(text.splitlines())
        told = f"{name} is on the board ({lines} line{'' if lines == 1 else 's'})."
        if not text.strip():
            told = f"{name} is on the board, but empty: write the program below the first line."
        told += self._keep(name, text)
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                compile(text, name, "exec", dont_inherit=True)
        except SyntaxError as fault:
            place = f"{name}, line {fault.lineno}: {(fault.text or '').strip()}"
            told += f"\nIt cannot run yet: {fault.msg}.\nWhere: {place}"
        except (ValueError, MemoryError, RecursionError) as fault:  # a null character; far too deep
            told += f"\nIt cannot run yet: {fault}."
        return told


    def _keep(self, name: str, text: str) -> str:
        """Put a file into the locker; give a line on what could not be done."""
        if self.locker is None:
            return ""
        try:
            self.locker.put(name, text)
            self._kept |= {name}
        except OSError as fault:
            why = fault.strerror or fault
            return f"\nIt could not be kept for another day ({why}). Where: {self.locker.folder}"
        return ""


FLASH = Flash()
"""The board that this notebook writes to."""


def missing(program: str, board: Mapping[str, str]) -> UnknownNameError:
    """Give the error for a program that is not on the board: it names the cell to run."""
    cell = f"the cell that begins with `{MAGIC} {program}`"
    guess = nearest(str(program), sorted(board))
    hint = f"did you mean {guess!r}? If not, run {cell} first." if guess else f"run {cell} first."
    return UnknownNameError("program on the board", program, board, hint)


def program_cell(source: str) -> tuple[str, str] | None:
    """Give (file name, program) of a `%%program` cell's text, None for other cells."""
    head, _, body = source.partition("\n")
    words = head.split()
    if len(words) == 2 and words[0] == MAGIC and _NAME.fullmatch(words[1]):
        return words[1], body
    return None


def find_card(name: str, folder: Path | None = None) -> Path | None:
    """Give a learner's card, a small file here or up to three folders above, None without one."""
    here = (folder or Path.cwd()).resolve()
    cards = (place / name for place in (here, *here.parents[:3]))
    return next((card for card in cards if card.is_file()), None)


def own_serial(folder: Path | None = None) -> int:
    """Give the learner's serial number: from the card `tug.json` here or above, or the usual one.

    Raises:
        KitError: The card is damaged.
    """
    card = find_card(_CARD, folder)
    if card is None:
        return OWN_SERIAL
    try:
        serial = json.loads(card.read_text(encoding="utf-8"))["serial"]
        if isinstance(serial, int) and serial >= 0:
            return serial
        raise ValueError(serial)
    except (ValueError, KeyError, TypeError, OSError) as fault:
        raise KitError(
            f"The tug's card {_CARD} is damaged ({fault}).",
            where=_CARD,
            hint='it should read {"serial": 7}, with the number on your tug.',
        ) from fault


def run(
    program: str,
    *,
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
) -> Recording | tuple[Recording, ...]:
    """Run a program that is on the board, and show what came of it.

    Args:
        program: The file's name, as in `%%program drive.py`.
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

    Returns:
        The recording; of several runs a tuple of them.

    Raises:
        UnknownNameError: No such program is on the board.
        KitError: So many runs cannot be shown, or other arguments are bad.
    """
    board = FLASH if files is None else files
    if program not in board:
        raise missing(program, board)
    _ask_runs(runs, replay)
    if files is None and (picture or replay) and (since := FLASH.note(program)):
        print(since)
    recordings = tuple(
        run_trial(
            board, program=program, table=table, seconds=seconds, seed=seed, start=start,
            engine=engine, air=air, lines=replay, day=_day(seed, number),
            serial=own_serial() if serial is None else serial,
            whose=FLASH.whose if files is None else whose,
        )
        for number in range(runs)
    )  # fmt: skip
    if runs == 1:
        _show(recordings[0], seed, targets, picture, replay)
        return recordings[0]
    from .show.display import can_draw

    failed = next((made for made in recordings if made.problem), None)
    if picture and not can_draw():
        _show(failed or recordings[-1], seed, targets, picture, replay)
    elif failed and picture:
        _show(failed, seed, targets, picture, replay)
    elif picture:
        from .show.repeats import show_repeats

        show_repeats(recordings, table=make_table(table, seed), targets=targets)
    return recordings


def _day(seed: int, number: int) -> str:
    """Give the name of a run's day; the first one is that of a single run."""
    return seed_day(seed) + (f", run {number + 1}" if number else "")


def _ask_runs(runs: object, replay: bool) -> None:
    """Refuse what cannot be shown.

    Raises:
        KitError: It cannot.
    """
    if isinstance(runs, bool) or not isinstance(runs, int) or not 1 <= runs <= MOST_RUNS:
        raise KitError(
            f"A program is run 1 to {MOST_RUNS} times, not {runs!r}.",
            hint="give a number such as runs=5; another seed= gives other runs.",
        )
    if runs > 1 and replay:
        raise KitError("A replay shows one run.", hint="leave out replay=True, or runs=.")


def _show(recording: Recording, seed: int, targets: Any, picture: bool, replay: bool) -> None:
    """Show one run; where no picture can be drawn as a replay, which the browser draws."""
    from .show.display import can_draw

    if replay or picture and not can_draw():
        from .show.console import console
        from .show.replay import show_replay

        if text := console(recording):
            print(text)
        show_replay(recording, targets=targets)
    elif picture:
        from .show import show

        show(recording, table=make_table(recording.table, seed), targets=targets)


def replay(
    *recordings: Recording, labels: Sequence[str] = (), at: float = 0.0,
    marks: Sequence[tuple[float, str]] = (), targets: Any = (), air: Airwaves | None = None,
    rerun: bool = False,
) -> None:  # fmt: skip
    """Show a recording as a replay, or lay two of one table over each other.

    The program's running line is shown where it is known.  Where it is not, a trial that was made
    in this notebook is run again to follow it; a recording that was loaded never is, unless you
    ask for it, and then its program is confined.

    Args:
        recordings: One or two.
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

    def program(line: str, cell: str) -> None:
        """Put this cell on the board as a file: `%%program drive.py`."""
        print(FLASH.put(line.strip(), cell))

    shell.register_magic_function(program, magic_kind="cell", magic_name="program")
    if getattr(shell, "kernel", None) is not None:
        from .completion import attach
        from .shell import explain_to

        attach(shell.kernel, MAGIC, FLASH)
        explain_to(shell, MAGIC)
        FLASH.keep_in(own_locker())
        shell.events.register("pre_run_cell", FLASH.refresh)


register()
