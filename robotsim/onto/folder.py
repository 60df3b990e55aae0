"""Folder: `export` writes what is copied to a board, as it is.

Programs, a settings file for pins and quirks, a template for secrets that version control
ignores; nothing else is needed.  Copying itself is left to the trade's own tools, or to `aboard`.
"""

from __future__ import annotations

import dataclasses
import shlex
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from ..board.direct import plugged_in
from ..board.rules import TUG_FILE
from ..calls import FILES, NAME, TUG, Value, called_as
from ..errors import KitError
from ..kept import whole_file
from ..notebook import FLASH, missing
from ..twin.settings import SETTINGS
from ..twin.tug_file import TugFile, Twin, read_tug
from .advice import told_html
from .compiler import compiles
from .files import needed
from .fits import look_at_settings
from .habits import SECRETS

__all__ = [
    "MAIN", "PAGE", "Exported", "contents", "export", "outfit", "secrets_template", "wants_secrets",
]

MAIN = "main.py"
"""What a board starts by itself when it is powered."""
PAGE = Path(__file__).with_name("POWERUP.md")
"""First power-up in order, with cautions, and what to do when something does not work."""
_IGNORE = ".gitignore"
_OWN = (SECRETS, SETTINGS, _IGNORE)
"""What someone fills in: never written over."""


@dataclass(frozen=True)
class Exported:
    """What `export` wrote.

    Attributes:
        folder: Where.
        files: Names of the files that belong to it.
        kept: Those of them in which someone has filled in something: they were left as they are.
        settings: Whose the settings are, in words; "" where they lay beside the program.
        secret: Whether the program wants secrets.
    """

    folder: Path
    files: tuple[str, ...]
    kept: tuple[str, ...]
    settings: str = ""
    secret: bool = False

    def __str__(self) -> str:
        """Say it in a few lines."""
        beside = "" if self.folder.is_absolute() else ", as seen from this notebook's folder,"
        rows = [
            f"{self.folder.as_posix()}{beside} is ready to be copied to a board.",
            f"It holds {', '.join(self.files)}.",
        ]
        if self.kept:
            rows.append(f"Left as it was, since it differs: {', '.join(self.kept)}.")
        if self.settings and SETTINGS not in self.kept:
            rows.append(self.settings)
        if self.secret and SECRETS not in self.kept:
            rows.append(f"Fill in {SECRETS}: the program imports it.")
        copied = shlex.join((self.folder / name).as_posix() for name in self.files
                            if name != _IGNORE and (self.secret or name != SECRETS))  # fmt: skip
        if plugged_in():
            rows.append("The folder lies in this browser: in the list of files right-click each of "
                        "its files, and download it to a computer with the kit.")  # fmt: skip
        rows.append(
            "Before you copy it to the board, read the page on first power-up, which `python3 "
            "robotsim powerup` prints in a terminal. Then, motor power off, in a terminal"
            f"{' beside the folder' if beside else ''}: `mpremote connect PORT fs cp {copied} :`"
        )
        return "\n".join(rows)

    __repr__ = __str__

    def _repr_html_(self) -> str:
        return told_html(str(self))


@called_as(
    'export("main.py")', program=NAME, files=FILES, tug=TUG,
    folder=Value((str, Path), "a folder's name in quotes"),
)  # fmt: skip
def export(
    program: str = MAIN,
    folder: str | Path = "for-the-board",
    *,
    files: Mapping[str, str] | None = None,
    replace: bool = False,
    tug: TugFile | None = None,
) -> Exported:
    """Write a folder that is copied as it is to a board.

    Args:
        program: The file that the board is to start; it is written as `main.py`.
        folder: Where to write; made if it is not there.
        files: Files to use in place of the board's, name to text.
        replace: Whether programs that are in the folder may be replaced by other ones.
            Settings and secrets that are there are never touched.
        tug: The `tug.json` of the tug that it is for: a board without settings gets that tug's,
            and settings that name other pins are refused.

    Raises:
        UnknownNameError: There is no such program on the board.
        KitError: It cannot be compiled, something there would be lost, or the tug's file or the
            settings do not fit.
    """
    twin = None if tug is None else read_tug(tug)
    board, settings = outfit(FLASH if files is None else files, twin)
    for wrong in look_at_settings(board, twin.build) if twin else ():
        raise KitError(f"It is not exported: {wrong.cause}", where=wrong.place, hint=wrong.cure)
    if program not in board:
        raise missing(program, board)
    found = contents(program, board)
    for name, text in found.items():
        broken = compiles(name, text) if name.endswith(".py") else None
        if broken:
            raise KitError(f"It is not exported: {broken.cause}", where=broken.place,
                           hint=broken.cure)  # fmt: skip
    done = _write(Path(folder), found, replace)
    return dataclasses.replace(done, settings=settings, secret=wants_secrets(program, board))


def outfit(board: Mapping[str, str], twin: Twin | None) -> tuple[dict[str, str], str]:
    """Give what goes onto a board: no program is left without settings.

    Args:
        board: The program and what lies beside it, name to text.
        twin: What the tug is like for which it is; None where nothing is said of it.

    Returns:
        The files, and whose the settings among them are, in words; "" if they lay there.
    """
    if SETTINGS in board:
        return dict(board), ""
    if twin is None:
        words = (
            "that of the tug as drawn, for none lies beside the program: put in what you measured "
            f"on your tug, or name the file of its power-up ({TUG_FILE}; in a terminal --tug FILE)"
        )
    else:
        lacks = twin.known.in_settings
        words = f"that of {twin.name}" + (f"; as drawn in it: {lacks}" if lacks else "")
    return {**board, SETTINGS: (twin or read_tug({})).settings}, f"{SETTINGS} is {words}."


def wants_secrets(program: str, board: Mapping[str, str]) -> bool:
    """Tell whether a program imports secrets, be they there or not."""
    return SECRETS in needed(program, {SECRETS: "", **board})


def contents(program: str, board: Mapping[str, str]) -> dict[str, str]:
    """Give what of an `outfit` belongs on the board, name to text; of secrets a template.

    Raises:
        KitError: The program imports what it would itself be called.
    """
    names = needed(program, board)
    if program != MAIN and MAIN in names:
        raise KitError(
            f"{program} imports {MAIN}, and would itself be written as {MAIN}.",
            hint=f"give the part that it imports another name than {MAIN}.",
        )
    found = {MAIN if name == program else name: board[name] for name in names}
    found[SETTINGS] = board[SETTINGS]
    # The simulated harbour's passwords open no real network: a template takes their place.
    found[SECRETS] = secrets_template()
    found[_IGNORE] = f"# What only this board may know.\n{SECRETS}\n"
    return found


def _write(folder: Path, contents: Mapping[str, str], replace: bool) -> Exported:
    kept = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        there = {name: _text(folder / name) for name in contents}
        changed = [name for name, old in there.items() if old not in (None, contents[name])]
        lost = [name for name in changed if name not in _OWN]
        if lost and not replace:
            raise KitError(
                f"In this folder there is another {', '.join(lost)}, which would be lost.",
                where=str(folder.absolute()),
                hint="choose another folder, or say replace=True.",
            )
        for name, text in contents.items():
            if name in _OWN and name in changed:
                kept.append(name)
            elif there[name] != text:
                with whole_file(folder / name) as part:
                    part.write_text(text, encoding="utf-8", newline="\n")
    except OSError as fault:
        raise KitError(
            f"The folder could not be written: {fault.strerror or fault}.",
            where=str(folder.absolute()),
            hint="choose another folder, or look whether a file is in the way.",
        ) from fault
    return Exported(folder, tuple(contents), tuple(kept))


def _text(path: Path) -> str | None:
    """Give a file's text, None if there is no such file; what is no text differs from any."""
    if not path.exists():
        return None
    return path.read_bytes().decode("utf-8", "replace")


def secrets_template() -> str:
    """Give a secrets file with nothing secret in it yet."""
    return (
        "# Networks, in the order in which to try them: (name, password).\n"
        "# Keep this file on your board only. Never send it, never put it under version control.\n"
        "NETWORKS = [\n"
        '    ("name of the first network", "its password"),\n'
        '    ("name of the second network", "its password"),\n'
        "]\n"
    )
