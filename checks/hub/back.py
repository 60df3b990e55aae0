"""Back: feedback from a course to the hub's desk, which gives each learner their own."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from robotsim import KitError

from ..course.roster import roster_of
from ..whole import write_whole
from ..words import counted

__all__ = ["give_back", "see_desk"]


def see_desk(desk: Path) -> Path:
    """Give the folder of a desk in which feedback lies.

    Raises:
        KitError: There is no desk.
    """
    target = desk / "feedback"
    if not target.is_dir():
        raise KitError("There is no desk of a hub in that place.", where=str(target),
                       hint="its folder on the server is /srv/quayside/desk.")  # fmt: skip
    return target


def give_back(course: Path, desk: Path) -> Iterator[str]:
    """Lay a course's feedback where the hub's desk gives each learner of the class their own.

    Args:
        course: The course folder.
        desk: The desk's folder, on the hub's machine.

    Yields:
        A line that says how much was laid there; none where there is no feedback.

    Raises:
        KitError: There is no desk.
    """
    target = see_desk(desk)
    count, learners, roster = 0, 0, roster_of(course)
    for own in sorted(path for path in (course / "feedback").glob("*")
                      if path.is_dir() and not roster.lacks(path.name)):  # fmt: skip
        files = [file for file in own.glob("*/*") if file.suffix in (".html", ".recording")]
        learners += bool(files)
        for file in files:
            place = target / own.name.lower() / file.parent.name / file.name
            if not place.is_file() or place.read_bytes() != file.read_bytes():
                write_whole(place, file.read_bytes())
                count += file.suffix == ".html" and file.stem == file.parent.name
            # The desk reads it as one of the folder's group.
            for path, mode in ((place.parent.parent, 0o750), (place.parent, 0o750), (place, 0o640)):
                if path.stat().st_uid == os.geteuid():
                    path.chmod(mode | 0o2000 if path.is_dir() else mode)
    if learners:
        for_whom = counted(learners, "learner")
        yield f"{counted(count, 'page')} laid at the desk for {for_whom}: {target}"
