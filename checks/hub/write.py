"""Write: the folder from which a class's hub is installed; for the teacher's machine."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator
from pathlib import Path

from robotsim import KitError

from ..course.edition import edition
from ..course.roster import ROSTER, Roster, read_roster, roster_of
from ..faults import see_own_place
from ..whole import write_whole
from .codes import (
    CODES,
    SLIPS,
    TEACHER,
    changes,
    issue,
    read_codes,
    slips,
    text_of_codes,
    write_private,
)

__all__ = ["CONFIG", "GIVEN", "write_hub"]

HERE = Path(__file__).resolve().parent
CONFIG, GIVEN = "jupyterhub_config.py", "jupyterhub_config.given.py"
"""What a teacher may edit, and the same as it was given: so a newer one takes the place of one that
nobody has edited."""
_ADDRESS = "address.txt"
_MACHINE = ("install.sh", "quayside-hub.service", "proxy/package.json", "proxy/package-lock.json")
_CLOUD = ("values.yaml", "Dockerfile")


def write_hub(
    folder: Path, course: Path | None = None, *, roster: Path | None = None,
    teacher: str = "", address: str = "",
) -> Iterator[str]:  # fmt: skip
    """Write everything that one machine needs, or bring such a folder up to date.

    A configuration that was edited stays, and so does every code that was given.

    Args:
        folder: Where it goes.
        course: The course folder, whose class it is for.
        roster: The roster of the class, in place of a course.
        teacher: The teacher's user name at the hub; "" for the one of before, or "teacher".
        address: Where learners will reach the server, for the slips; "" for the one of before.

    Yields:
        A plain line for each thing done.

    Raises:
        KitError: There is no class, or the folder cannot be used.
    """
    see_own_place(folder, CODES, "what opens a class's server")
    if address and not re.match(r"https?://[^/\s]", address):
        raise KitError(f"{address!r} is no address of a page.", where="--address",
                       hint=f"--address http://{address}")  # fmt: skip
    noted = folder / _ADDRESS
    address = address or (noted.read_text("utf-8").strip() if noted.is_file() else "")
    known = _class_of(course, roster)
    # An edition is made first: it says best if this is no whole kit.
    with tempfile.TemporaryDirectory(prefix="quayside-hub-") as name:
        for _ in edition(Path(name)):
            pass
        kit = (Path(name) / "quayside.zip").read_bytes()
    before = read_codes(folder / CODES)
    kept = next((one.user for one in before if one.role == TEACHER), TEACHER)
    passes = issue(known, teacher or kept, before)
    write_whole(folder / "quayside.zip", kit)
    yield f"quayside.zip: the kit for learners, without solutions, {len(kit) / 1e6:.1f} MB"
    write_private(folder / CODES, text_of_codes(passes))
    write_private(folder / SLIPS, slips(passes, address))
    if address:
        write_whole(noted, f"{address}\n".encode())
    yield f"{course / ROSTER if course else roster}: {changes(before, passes)}"
    left = [f"{one.id} ({one.left.astimezone():%Y-%m-%d})" for one in known.students
            if one.left and one.has_left]  # fmt: skip
    if left:
        yield f"Gone, as the roster's column `left` says, so without a code: {', '.join(left)}"
    yield f"{CODES}, {SLIPS}: their codes, for your eyes only; the second one to print"
    if not before:
        yield ("All codes are new. Has this class a folder of before? Then name that one, so that"
               " codes which were given stay.")  # fmt: skip
    if not address:
        yield "The slips have a line for the server's address; --address http://SERVER prints it."
    for file in (*(f"machine/{one}" for one in _MACHINE), *(f"cloud/{one}" for one in _CLOUD)):
        place = folder / file.removeprefix("machine/")
        write_whole(place, (HERE / file).read_bytes())
        if place.suffix == ".sh":
            place.chmod(0o755)
    yield f"{', '.join(_MACHINE[:2])}: for Debian and Ubuntu; cloud/: for many machines"
    yield from _config(folder)
    write_whole(folder / "HUB.md", _by_itself((HERE / "HUB.md").read_text("utf-8")).encode())
    yield f"Read {folder / 'HUB.md'}: six steps, cautions, how to go back."


def _by_itself(page: str) -> str:
    """Give a page of the kit for a place where the pages beside it are not."""
    return re.sub(r"\[([^\]]+)\]\(\.\./([^)\s]+)\)", r"\1 (in the kit: `checks/\2`)", page)


def _class_of(course: Path | None, roster: Path | None) -> Roster:
    known = read_roster(roster, None) if roster else roster_of(course) if course else Roster()
    if not known.students:
        raise KitError(
            "A hub is made for a class, and here is none.", where=str(course or roster or ROSTER),
            hint="--course FOLDER names a course with its roster, --roster CSV a roster.",
        )  # fmt: skip
    return known


def _config(folder: Path) -> Iterator[str]:
    place, text = folder / CONFIG, (HERE / "machine" / "jupyterhub_config.txt").read_bytes()
    given = folder / GIVEN
    untouched = given.is_file() and place.is_file() and place.read_bytes() == given.read_bytes()
    if place.is_file() and place.read_bytes() != text and not untouched:
        write_whole(place.with_name("jupyterhub_config.new.py"), text)
        yield f"{CONFIG}: yours stays; this kit's is beside it, jupyterhub_config.new.py"
        return
    write_whole(place, text)
    write_whole(given, text)
    yield f"{CONFIG}: made to be edited"
