"""Aboard: a program from the notebook onto a board, and what it says and writes back again."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from ..calls import FILES, NAME, TUG, called_as
from ..errors import KitError, unreadable
from ..notebook import FLASH, missing
from ..onto import ready
from ..onto.advice import told_html
from ..onto.fits import pin_table
from ..onto.folder import MAIN, contents, outfit, wants_secrets
from ..onto.habits import SECRETS
from ..origin import Whose
from ..twin.settings import SETTINGS
from ..twin.tug_file import TugFile, read_tug
from .card import to_mend
from .client import BoardFault, Client, digest
from .ports import choose

__all__ = ["LIST", "WHEELS", "Aboard", "aboard", "copy"]

LIST = "aboard.json"
"""The file on the board that says what the kit has put there: name to digest."""
WHEELS = (
    "Wheels off the table, wheels and arm free, fingers and hair away, motor power off while it "
    "copies. Local rules come first."
)
_RUNNING = (
    "It runs now: motor power on only with the wheels still off the table, a hand at the switch. "
    "On the floor, in a pen, once it has stopped by itself here; one that waits for the bumper is "
    "put down before you press it."
)
_MOST_S = 600.0


@dataclass(frozen=True)
class Aboard:
    """What came of it.

    Attributes:
        port: Where the board is.
        copied: Files that were copied, for they were new or had changed.
        same: Files that were there already.
        kept: Files that somebody else had put there, and the names under which they are kept.
        settings: Whose the settings on the board are, in words; "" where they lay beside the
            program.
        ended: How the program ended: "finished", "time is up", "stopped", "error", "not run".
        printed: Its lines: s since the start, and the text.
        fault: The board's traceback, "" for none.
        wrote: Files that the program has written, be it the same text once more; name to text.
    """

    port: str
    copied: tuple[str, ...]
    same: tuple[str, ...]
    kept: Mapping[str, str]
    settings: str = ""
    ended: str = "not run"
    printed: tuple[tuple[float, str], ...] = ()
    fault: str = ""
    wrote: Mapping[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        """Say it in lines; what it printed was shown while it ran."""
        rows = [f"Copied to {self.port}: {', '.join(self.copied) or 'nothing, all was there'}."]
        rows += [f"{old} was not the kit's: it is kept as {new}." for old, new in self.kept.items()]
        rows += [self.settings] if self.settings else []
        if self.fault:
            rows.append(self.fault)
        if self.ended != "not run":
            rows.append(f"It ended: {self.ended}. All pins are let go: the motors are off.")
        rows.append(f"It is {MAIN} on the board now: with the next power-on or reset it starts by "
                    "itself, so wheels off the table then, too.")  # fmt: skip
        rows += [f"It wrote {name}, {len(text)} characters: .wrote[{name!r}]"
                 for name, text in self.wrote.items()]  # fmt: skip
        return "\n".join(rows)

    __repr__ = __str__

    def _repr_html_(self) -> str:
        return told_html(str(self))


@called_as('aboard("main.py")', program=NAME, files=FILES, tug=TUG)
def aboard(
    program: str = MAIN, *, port: str | None = None, seconds: float = 10.0, run: bool = True,
    secrets: str | Path | None = None, anyway: bool = False, files: Mapping[str, str] | None = None,
    whose: Whose = Whose.STRANGER, tug: TugFile | None = None,
) -> Aboard:  # fmt: skip
    """Put a program onto a board, run it there, and give what came of it.

    First `ready` looks at it.  Then what has changed is copied, settings too, and never a secret
    unless you say which file; a file that the kit did not put there is kept under another name.
    Joining, copying and leaving let all pins go, so nothing moves by them.  The board starts the
    program by itself when it is powered the next time.

    Args:
        program: The file that the board is to start; it is copied as `main.py`.
        port: The board's port; None for the only one there is.
        seconds: How long it may run, in s, at most 600; interrupting the cell ends it, too.
        run: Whether to run it now.
        secrets: A file with networks and passwords to copy as `secrets.py`; None for none.
        anyway: Whether to go on although `ready` has found what would fail.
        files: Files to use in place of the board's, name to text.
        whose: Whose these files are, for the look that `ready` takes.
        tug: The `tug.json` of this tug, which may be wired otherwise; a notebook's board without
            settings then gets that tug's.

    Raises:
        KitError: It is not ready, there is no board, or the cable has been pulled; the old files
            are on the board then, or the new ones, and no half ones.
    """
    if not 0 < seconds <= _MOST_S:
        raise KitError(f"A program runs more than 0 and at most {_MOST_S:g} s, not {seconds!r}.",
                       hint="seconds=10; run=False only copies.")  # fmt: skip
    twin = None if tug is None else read_tug(tug)
    if tug is not None and (lacks := to_mend(tug)):
        print(lacks)
    beside = FLASH if files is None else files
    board, settings = outfit(beside, twin)
    drawn = twin is None and SETTINGS not in beside
    if program not in board:
        raise missing(program, board)
    whose = FLASH.whose if files is None else whose
    report = ready(program, files=board, whose=whose, tug=tug)
    if not report.ready and not anyway:
        first = report.failing[0]
        raise KitError(f"It is not copied: {first.cause}", where=first.place,
                       hint=f"{first.cure} anyway=True copies it all the same.")  # fmt: skip
    wanted = {name: text.encode() for name, text in contents(program, board).items()
              if name != SECRETS and not name.startswith(".")}  # fmt: skip
    if secrets is not None:
        wanted[SECRETS] = _read(Path(secrets))
    elif wants_secrets(program, board):
        print(f"{program} imports {SECRETS}, which stays here: secrets={SECRETS!r} copies it.")
    place = choose(port)
    print(WHEELS)
    with Client(place) as client:
        if not anyway:
            _ask_same_wiring(client, b"" if drawn else wanted[SETTINGS])
        try:
            done = copy(client, wanted, templates=(SETTINGS,) if drawn else ())
        except KeyboardInterrupt as fault:
            client.let_go()
            client.sweep(wanted)
            raise KitError("It was stopped while it copied.", where=place,
                           hint="each file on the board is the old one or the new one, and none is "
                           "half; the same words once more copy what is missing.") from fault
        if drawn and SETTINGS in done.same:
            settings = f"The {SETTINGS} on the board stays as it is: none lies beside the program."
        done = replace(done, settings=settings)
        return _run(client, done, seconds) if run else done


def _ask_same_wiring(client: Client, data: bytes) -> None:
    """Refuse settings whose pins are not those of the settings on the board.

    Raises:
        KitError: They are those of a tug that is wired otherwise.
    """
    if SETTINGS not in (there := client.files()) or there[SETTINGS] == digest(data):
        return
    text = client.read(SETTINGS).decode("utf-8", "replace")
    old = {role: pin for role, pin, _ in pin_table(text)}
    for role, pin, line in pin_table(data.decode("utf-8", "replace")):
        if old.get(role, pin) != pin:
            raise KitError(
                f"The settings on this board have {role} on pin {old[role]!r}; those to be copied "
                f"have it on pin {pin!r}.", where=f"{SETTINGS}, line {line}",
                hint="are they those of this tug? Its own come along with tug='tug.json' where no "
                f"{SETTINGS} lies beside the program; anyway=True puts these there.",
            )  # fmt: skip


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as fault:
        hint = "look at the file's name; leave secrets out to copy none."
        raise unreadable("The file of secrets", path, fault, hint) from fault


def copy(client: Client, wanted: Mapping[str, bytes], templates: tuple[str, ...] = ()) -> Aboard:
    """Copy what differs, and keep what somebody else has put there.

    Args:
        client: The board.
        wanted: Name to content.
        templates: Of these only those that are not there at all.
    """
    client.sweep(wanted)
    there = client.files()
    ours = _ours(client, there)
    copied, same, kept = [], [], {}
    for name, data in wanted.items():
        new, old = digest(data), there.get(name)
        if old == new or (old is not None and name in templates):
            same.append(name)
            continue
        if old is not None and ours.get(name) != old:
            kept[name] = _free(name, there)
            client.rename(name, kept[name])
            there[kept[name]] = old
        client.write(name, data)
        copied.append(name)
        ours[name] = new
    if copied:
        client.write(LIST, json.dumps(ours, sort_keys=True).encode())
    return Aboard(client.port, tuple(copied), tuple(same), kept)


def _ours(client: Client, there: Mapping[str, str]) -> dict[str, str]:
    """Give what the kit has put there, by its own list; whatever else the list may be is none."""
    if LIST not in there:
        return {}
    try:
        told = json.loads(client.read(LIST))
    except ValueError:
        return {}
    return {str(name): str(mark) for name, mark in told.items()} if isinstance(told, dict) else {}


def _free(name: str, there: Mapping[str, str]) -> str:
    """Give a name under which nothing is yet: `earlier-1-main.py`."""
    number = 1
    while f"earlier-{number}-{name}" in there:
        number += 1
    return f"earlier-{number}-{name}"


def _run(client: Client, done: Aboard, seconds: float) -> Aboard:
    """Run what was copied, and take back what it wrote."""
    print(_RUNNING)
    before = client.marks()
    printed: list[tuple[float, str]] = []

    def line(time_s: float, text: str) -> None:
        printed.append((time_s, text))
        print(f"{time_s:7.3f} s  {text}".rstrip(), flush=True)

    fault = ""
    start = f"exec(compile(open({MAIN!r}).read(), {MAIN!r}, 'exec'), {{'__name__': '__main__'}})"
    try:
        ended = client.run(start, seconds, line)
    except BoardFault as raised:
        ended, fault = "error", raised.text
    except KeyboardInterrupt:
        ended = "stopped"
    client.let_go()
    changed = [name for name, mark in client.marks().items() if before.get(name) != mark]
    wrote = {name: client.read(name).decode("utf-8", "backslashreplace") for name in changed}
    return replace(done, ended=ended, printed=tuple(printed), fault=_without_ours(fault),
                   wrote=wrote)  # fmt: skip


def _without_ours(fault: str) -> str:
    """Leave out the line of the traceback that is the kit's own call."""
    return "\n".join(row for row in fault.splitlines() if '"<stdin>"' not in row)
