"""Deeds: what the home page can do with a learner's folder.  None of them loses anything."""

from __future__ import annotations

import io
import json
import re
import shutil
import zipfile
from datetime import datetime
from pathlib import Path

from robotsim import KitError
from robotsim.locker import BOARDS
from robotsim.notebook import own_serial
from robotsim.parts import MOST_SERIAL

from ..course.content import no_work
from ..course.files import as_bytes
from ..course.lessons import LESSONS, pick_lessons
from ..course.release import handed_out, release
from ..whole import write_whole
from .progress import Progress, look

__all__ = [
    "COUNTS", "KEPT", "PLAYGROUND", "amiss", "astray", "begin_anew", "begun", "change_tug",
    "hand_in", "look_first", "make_playground", "playground", "set_serial",
]  # fmt: skip

KEPT = "earlier-work"
"""The folder that a lesson's old work goes to when it is begun anew."""
PLAYGROUND = "playground.ipynb"
COUNTS = "What counts is what you write into its cells and save (Ctrl + S)."
_WAY_HOME = "[home page](/quayside)"


def begin_anew(folder: Path, lesson_id: str, lessons: Path = LESSONS) -> list[Path]:
    """Give a lesson a fresh copy and an empty board; the old ones go to `earlier-work`.

    Args:
        folder: The learner's folder.
        lesson_id: The lesson's id.
        lessons: The folder of the lessons.

    Returns:
        Where the old copy and the folder of its board's programs are now, those of them there were.

    Raises:
        KitError: There is no such lesson, or the folder cannot be used.
    """
    (lesson,) = pick_lessons([lesson_id], lessons)
    stamp = datetime.now().strftime("%Y-%m-%d %H.%M.%S")
    copy, board = folder / lesson.file, folder / BOARDS / Path(lesson.file).stem
    ways = {
        copy: folder / KEPT / f"{copy.stem} {stamp}{copy.suffix}",
        board: folder / KEPT / f"{copy.stem} {stamp} programs",
    }
    kept = [place for old, place in ways.items() if old.exists()]
    try:
        (folder / KEPT).mkdir(exist_ok=True)
        for old, place in ways.items():
            if place in kept:
                shutil.move(old, place)
    except OSError as fault:
        raise KitError(
            f"The old work could not be put aside: {fault.strerror or fault}.",
            where=str(fault.filename or folder),
            hint="close the lesson in JupyterLab, and try again.",
        ) from fault
    for _ in release(folder, lessons):
        pass
    return kept


def playground(home: str = "") -> bytes:
    """Give a fresh playground; `home` says what to write in place of its way to the home page."""
    from ..course.source import plain_notebook  # with jupytext, which a server never needs else

    text = Path(__file__).with_name("playground.md").read_text(encoding="utf-8")
    if home:
        text = text.replace(_WAY_HOME, home)
    return as_bytes(plain_notebook(text))


def make_playground(folder: Path) -> str:
    """See to it that there is a playground; give its file's name. One that is there is left alone.

    Raises:
        KitError: It cannot be written.
    """
    place = folder / PLAYGROUND
    if not place.exists():
        try:
            write_whole(place, playground())
        except OSError as fault:
            raise KitError(
                f"The playground could not be made: {fault.strerror or fault}.", where=str(place),
                hint="may you write to this folder?",
            ) from fault  # fmt: skip
    return PLAYGROUND


def hand_in(folder: Path, lessons: Path = LESSONS) -> bytes:
    """Give all notebooks that were worked at as one archive, which `collect` takes as it is.

    Raises:
        KitError: No lesson has been begun.
    """
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as pack:
        for one in begun(folder, lessons):
            pack.write(folder / one.lesson.file, one.lesson.file)
    return data.getvalue()


def begun(folder: Path, lessons: Path = LESSONS, only: str = "") -> list[Progress]:
    """Give what there is to hand in: each lesson that was worked at, or one alone.

    Raises:
        KitError: There is none.
    """
    found = [one for one in look(folder, lessons) if one.begun and only in ("", one.lesson.id)]
    if not found:
        raise KitError(
            "There is nothing to hand in yet: no cell of any lesson has run.",
            hint="\n".join(astray(folder, lessons, only)) or (
                "work at a lesson, save it (Ctrl + S), and come back."
            ),
        )
    return found


def astray(folder: Path, lessons: Path = LESSONS, only: str = "") -> list[str]:
    """Say of which lessons there is work that would not be handed in, for it lies elsewhere."""
    return [f"{one.lesson.title}: {one.astray}." for one in look(folder, lessons)
            if one.other and only in ("", one.lesson.id)]  # fmt: skip


def look_first(folder: Path, lessons: Path = LESSONS) -> str:
    """Say what of a learner's work would not count as they think it does; "" if all is well.

    Raises:
        KitError: No lesson has been begun.
    """
    told = {one.lesson.title: amiss((folder / one.lesson.file).read_bytes(), one)
            for one in begun(folder, lessons)}  # fmt: skip
    rows = [f"{title}: {why}" for title, why in told.items() if why]
    return "\n".join([*rows, *astray(folder, lessons)])


def amiss(data: bytes, one: Progress) -> str:
    """Say why nothing in a lesson's file would count, or what other than its cards show.

    "" if all is well, or if the lesson asks nothing.

    Args:
        data: The file.
        one: The lesson, and how far its learner is.
    """
    why = no_work(data, handed_out(one.lesson), one.lesson.id) if one.asked else ""
    return f"{why}. {COUNTS}" if why else " ".join(f"{told}." for told in one.changed)


def change_tug(folder: Path, text: str, lessons: Path = LESSONS) -> str:
    """Note the number of a learner's own tug; give words on it, and on points from before.

    A card does not say with which tug it was earned.

    Raises:
        KitError: It is none, or cannot be written.
    """
    try:
        before = own_serial(folder)
    except KitError:  # the card was damaged: nobody knows
        before = -1
    number = set_serial(folder, text)
    said = f"Your tug is number {number} from the next run on."
    if number == before or not any(one.earned for one in look(folder, lessons)):
        return said
    return (
        f"{said}\nThe points below are from before that, and no card says which tug earned them:"
        f" check again to see what tug {number} earns. A teacher marks with the tug that the"
        " class's list gives you."
    )


def set_serial(folder: Path, text: str) -> int:
    """Note the number of a learner's own tug.

    Raises:
        KitError: It is none, or cannot be written.
    """
    plain = text.strip()
    if not (re.fullmatch("[0-9]{1,9}", plain) and int(plain) <= MOST_SERIAL):
        raise KitError(
            f"A tug's number is a whole number from 0 to {MOST_SERIAL}, not {text[:20]!r}.",
            hint="it is the number that your teacher gave you; without one, take any.",
        )
    card = folder / "tug.json"
    try:
        known = json.loads(card.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        known = {}
    known = known if isinstance(known, dict) else {}
    try:
        write_whole(card, json.dumps({**known, "serial": int(plain)}).encode("ascii"))
    except OSError as fault:
        raise KitError(
            f"The number could not be noted: {fault.strerror or fault}.", where=str(card),
            hint="may you write to this folder?",
        ) from fault  # fmt: skip
    return int(plain)
