"""What `python3 checks` can be told, and what it says to a command line that it cannot read."""

from __future__ import annotations

import argparse
import contextlib
import sys
from pathlib import Path
from typing import Any

from robotsim import KitError
from robotsim.arguments import Parser

from .course.lessons import ORDER
from .shown import say

__all__ = ["parser"]

_WHAT = "What can be done with the lessons, from building them to a class's report."
_ELSEWHERE = ("From another folder name the kit's before `checks`, such as `python3 ../kit/checks "
              "mark autumn`; all other paths are as seen from where you stand.")  # fmt: skip


class _Parser(Parser):
    """Speaks as every command of a teacher's does."""

    def tell(self, *rows: str) -> None:
        say(*rows, file=sys.stderr)


def parser() -> argparse.ArgumentParser:
    """Give what reads a command line: `do` names the command."""
    made = _Parser(prog="python3 checks", description=_WHAT, epilog=_ELSEWHERE)
    commands = made.add_subparsers(required=True, metavar="COMMAND")

    build = commands.add_parser("build", help="make the lessons' notebooks from their sources")
    _add_lessons(build)
    build.add_argument("--check", action="store_true", help="only say whether they agree")
    build.set_defaults(do="build")

    release = commands.add_parser("release", help="put copies to work in into a learner's folder")
    release.add_argument("folder", type=_place, metavar="FOLDER")
    release.set_defaults(do="release")

    edition = commands.add_parser("edition", help="copy the kit for learners, without solutions")
    edition.add_argument("folder", type=_place, metavar="FOLDER", help="where quayside.zip goes")
    edition.set_defaults(do="edition")

    site = commands.add_parser("site", help="make a folder that runs the course in a browser alone")
    site.add_argument("folder", type=_place, metavar="FOLDER")
    site.add_argument("--lessons", nargs="+", default=[], metavar="LESSON", help="all if left out")
    site.add_argument("--packages", type=_path, metavar="FOLDER",
                      help="a node_modules folder; left out, npm fetches it")  # fmt: skip
    site.add_argument("--pyodide", type=_path, metavar="FOLDER",
                      help="a distribution of Pyodide, for pictures")  # fmt: skip
    site.add_argument("--serve", action="store_true", help="serve it on this computer; makes it"
                      " only if it is not there")  # fmt: skip
    site.add_argument("--port", type=_port, default=8080, metavar="N", help="the port to serve on")
    site.set_defaults(do="site")

    hub = commands.add_parser("hub", help="write what a class's JupyterHub is installed from")
    hub.add_argument("folder", type=_place, metavar="FOLDER")
    hub.add_argument("--course", type=_place, metavar="FOLDER", help="the course of the class")
    hub.add_argument("--roster", type=_path, metavar="CSV", help="or its roster alone")
    hub.add_argument("--teacher", default="", metavar="NAME",
                     help="your name at the hub; else as before, or 'teacher'")  # fmt: skip
    hub.add_argument("--address", default="", metavar="URL",
                     help="where learners will reach the server, for the slips")  # fmt: skip
    hub.set_defaults(do="hub")

    paper = commands.add_parser("paper", help="write print-outs of lessons, and answer keys")
    paper.add_argument("folder", type=_place, metavar="FOLDER", help="where they go")
    _add_lessons(paper)
    paper.set_defaults(do="paper")

    course = commands.add_parser("course", help="make a course folder with its class, or renew it")
    course.add_argument("folder", type=_place, metavar="FOLDER")
    course.add_argument("--roster", type=_path, metavar="CSV", help="the class: id,name,serial,...")
    course.set_defaults(do="course")

    collect = commands.add_parser("collect", help="take what was handed in from downloads")
    collect.add_argument("folder", type=_place, metavar="FOLDER", help="the course folder")
    collect.add_argument("downloads", type=_path, metavar="DOWNLOADS", help="a folder or a .zip")
    collect.add_argument("--assign", action="append", nargs=3, default=[],
                         metavar=("FILE", "LEARNER", "LESSON"),
                         help="say whose a file there is that was left")  # fmt: skip
    collect.set_defaults(do="collect")

    mark = commands.add_parser("mark", help="mark what was handed in and has changed")
    mark.add_argument("folder", type=_place, metavar="FOLDER", help="the course folder")
    _add_lessons(mark)
    mark.add_argument("--learner", action="append", default=[], metavar="ID", help="only this one")
    mark.add_argument("--again", action="store_true", help="also what has not changed")
    mark.add_argument("--cores", type=_count, metavar="N", help="how many work at once")
    mark.add_argument("--no-pictures", action="store_true", help="cards only; a little quicker")
    mark.add_argument("--cluster", metavar="ADDRESS", help="a Dask scheduler: tcp://host:8786")
    _add_permission(mark)
    mark.set_defaults(do="mark")

    grade = commands.add_parser("grade", help="open the form grader, for answers in words")
    grade.add_argument("folder", type=_place, metavar="FOLDER", help="the course folder")
    grade.add_argument("--port", type=_port, metavar="N", help="its port; left out, a free one")
    grade.add_argument("--no-browser", action="store_true", help="print the address, open nothing")
    grade.set_defaults(do="grade")

    feedback = commands.add_parser("feedback", help="write the pages that go back to learners")
    feedback.add_argument("folder", type=_place, metavar="FOLDER", help="the course folder")
    _add_lessons(feedback)
    feedback.add_argument("--learner", action="append", default=[], metavar="ID", help="only this")
    feedback.add_argument("--again", action="store_true", help="also what has not changed")
    feedback.add_argument("--with-mark-scheme", action="store_true",
                          help="show learners how answers in words are marked")  # fmt: skip
    feedback.add_argument("--to", type=_path, metavar="DESK",
                          help="also lay it at the desk of a class's hub")  # fmt: skip
    feedback.set_defaults(do="feedback")

    report = commands.add_parser("report", help="write a page on the class, and scores as CSV")
    report.add_argument("folder", type=_place, metavar="FOLDER", help="the course folder")
    report.add_argument("--anonymous", action="store_true", help="numbers in place of names")
    report.set_defaults(do="report")

    _add_deciding(commands)

    harbour = commands.add_parser("harbour", help="print the class's table of harbour runs")
    harbour.add_argument("folder", type=_place, metavar="FOLDER", help="the course folder")
    _add_permission(harbour)
    harbour.set_defaults(do="harbour")

    seats = commands.add_parser("seats", help="write the class's places at a broker of your own")
    seats.add_argument("folder", type=_place, metavar="FOLDER", help="the course folder")
    seats.add_argument("--port", type=_port, default=1883, metavar="N", help="the broker's port")
    seats.set_defaults(do="seats")

    room = commands.add_parser("room", help="show during class who is ready and where each is")
    room.add_argument("folder", type=_place, metavar="FOLDER", help="the course folder, or any")
    room.add_argument("--broker", metavar="ADDRESS", help="one of your own; none: it is started")
    room.add_argument("--port", type=_port, metavar="N", help="the port of the one that is started")
    room.add_argument("--stuck", type=_number, default=10.0, metavar="MINUTES",
                      help="how long until a task counts as stuck (default: 10)")  # fmt: skip
    room.add_argument("--no-browser", action="store_true", help="write the page, open nothing")
    room.set_defaults(do="room")

    demo = commands.add_parser("demo", help="mark a small made-up class and show the scores")
    demo.add_argument("--folder", type=_place, metavar="FOLDER", help="where the course goes")
    demo.set_defaults(do="demo")

    doctor = commands.add_parser("doctor", help="say what is ready on this machine and what is not")
    doctor.add_argument("--folder", type=_path, metavar="FOLDER", help="the learner's folder")
    doctor.add_argument("--room", metavar="ADDRESS", help="also tell the class's screen there")
    doctor.add_argument("--alias", metavar="NAME", help="what you want to be called in the room")
    doctor.add_argument("--password", default="", metavar="WORD", help="the room's password")
    doctor.set_defaults(do="doctor")
    return made


def _add_deciding(commands: Any) -> None:
    """Add what a term asks: appeals, a second marker, the way from and to a platform."""
    appeal = commands.add_parser("appeal", help="decide on one task of one learner, or list all")
    appeal.add_argument("folder", type=_place, metavar="FOLDER", help="the course folder")
    appeal.add_argument("learner", nargs="?", metavar="LEARNER", help="none: list what is decided")
    appeal.add_argument("task", nargs="?", default="", metavar="TASK", help="such as lamps.signal")
    appeal.add_argument("--points", type=_number, metavar="N", help="none: the check runs anew")
    appeal.add_argument("--again", action="store_true",
                        help="let the check take the place of points given by hand")  # fmt: skip
    appeal.add_argument("--by", default="", metavar="NAME", help="who decides")
    appeal.add_argument("--why", default="", metavar="WORDS", help="why; the learner reads it")
    appeal.set_defaults(do="appeal")

    roster = commands.add_parser("roster", help="make a roster of a platform's list of the class")
    roster.add_argument("export", type=_path, metavar="EXPORT", help="its list, as CSV or .xlsx")
    roster.add_argument("roster", type=_path, metavar="CSV", help="the roster to write")
    roster.set_defaults(do="roster")

    back = commands.add_parser("back", help="fill points into a platform's list of the class")
    back.add_argument("folder", type=_place, metavar="FOLDER", help="the course folder")
    back.add_argument("export", type=_path, metavar="EXPORT", help="its list, as CSV or .xlsx")
    back.set_defaults(do="back")

    second = commands.add_parser("second", help="have a second person mark a sample, and compare")
    second.add_argument("folder", type=_place, metavar="FOLDER", help="the course folder")
    second.add_argument("points", nargs="?", type=_path, metavar="CSV", help="filled in: compare")
    second.add_argument("--draw", type=_count, metavar="N", help="how many answers; 20 if not said")
    second.add_argument("--seed", type=int, default=0, metavar="N", help="another draws others")
    second.set_defaults(do="second")


def _add_lessons(command: argparse.ArgumentParser) -> None:
    # Without a default argparse calls them required where anything else is missing.
    command.add_argument("lessons", nargs="*", default=[], metavar="LESSON", help="all if left out")


def _path(text: str) -> Path:
    path = Path(text)
    with contextlib.suppress(RuntimeError):  # a file's own name may begin as a home folder does
        path = path.expanduser()
    path = path.absolute()
    return path.resolve() if ".." in path.parts else path


def _place(text: str) -> Path:
    """Give a folder; a lesson's name in its place is one that was forgotten."""
    if text in ORDER and not Path(text).exists():
        raise KitError(
            f"{text!r} is a lesson's name, and a folder is meant here.",
            hint="name the folder first, then the lesson; for a folder that is called so write "
                 f"./{text}",
        )  # fmt: skip
    return _path(text)


def _number(text: str) -> float:
    """Read a number, with a decimal point or comma."""
    try:
        return float(text.replace(",", ".", 1))
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no number") from None


def _count(text: str) -> int:
    if not text.isdecimal() or not int(text):
        raise argparse.ArgumentTypeError(f"{text!r} is no number from 1 on")
    return int(text)


def _port(text: str) -> int:
    if not text.isdecimal() or not 0 < int(text) < 65536:
        raise argparse.ArgumentTypeError(f"{text!r} is no port: 1 to 65535")
    return int(text)


def _add_permission(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--programs-may-reach-this-computer", action="store_true",
        help="run learners' programs also where nothing keeps them from your files",
    )  # fmt: skip
