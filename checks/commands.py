"""What `python3 checks` can do with the lessons from the command line."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from robotsim import KitError

from .faults import halting
from .shown import rows_of, say

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the command line asks for; give the exit code."""
    options = _parser().parse_args(arguments)
    try:
        return int(options.do(options))
    except KitError as trouble:
        say(*rows_of(trouble), file=sys.stderr)
        return 1
    except ModuleNotFoundError as missing:
        if not (missing.name or "").startswith("checks."):
            raise
        say("This is the learners' edition of the kit, which has no such command.",
            "  Try: the whole kit, which your teacher has.", file=sys.stderr)  # fmt: skip
        return 1
    except KeyboardInterrupt:
        say("", "Stopped.", file=sys.stderr)
        return 130
    except Exception as fault:
        # Whatever a command was at: a full disk or a closed folder has the same words everywhere.
        halt = halting(fault)
        if halt is None:
            raise
        say(*rows_of(halt), file=sys.stderr)
        return 1


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python3 checks", description=__doc__)
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    build = commands.add_parser("build", help="make the lessons' notebooks from their sources")
    build.add_argument("lessons", nargs="*", metavar="LESSON", help="ids; all if none is given")
    build.add_argument("--check", action="store_true", help="only say whether they agree")
    build.set_defaults(do=_build)

    release = commands.add_parser("release", help="put copies to work in into a learner's folder")
    release.add_argument("folder", type=_path, metavar="FOLDER")
    release.set_defaults(do=_release)

    edition = commands.add_parser("edition", help="copy the kit for learners, without solutions")
    edition.add_argument("folder", type=_path, metavar="FOLDER", help="where quayside.zip goes")
    edition.set_defaults(do=_edition)

    site = commands.add_parser("site", help="make a folder that runs the course in a browser alone")
    site.add_argument("folder", type=_path, metavar="FOLDER")
    site.add_argument("--lessons", nargs="+", default=[], metavar="LESSON", help="all if left out")
    site.add_argument("--packages", type=_path, metavar="FOLDER",
                      help="a node_modules folder; left out, npm fetches it")  # fmt: skip
    site.add_argument("--pyodide", type=_path, metavar="FOLDER",
                      help="a distribution of Pyodide, for pictures")  # fmt: skip
    site.add_argument("--serve", action="store_true", help="serve it on this computer; makes it"
                      " only if it is not there")  # fmt: skip
    site.add_argument("--port", type=int, default=8080, metavar="N", help="the port to serve on")
    site.set_defaults(do=_site)

    course = commands.add_parser("course", help="make a course folder with its class, or renew it")
    course.add_argument("folder", type=_path, metavar="FOLDER")
    course.add_argument("--roster", type=_path, metavar="CSV", help="the class: id,name,serial,...")
    course.set_defaults(do=_course)

    collect = commands.add_parser("collect", help="take what was handed in from downloads")
    collect.add_argument("folder", type=_path, metavar="FOLDER", help="the course folder")
    collect.add_argument("downloads", type=_path, metavar="DOWNLOADS", help="a folder or a .zip")
    collect.add_argument("--assign", action="append", nargs=3, default=[],
                         metavar=("FILE", "LEARNER", "LESSON"),
                         help="say whose a file there is that was left")  # fmt: skip
    collect.set_defaults(do=_collect)

    mark = commands.add_parser("mark", help="mark what was handed in and has changed")
    mark.add_argument("folder", type=_path, metavar="FOLDER", help="the course folder")
    mark.add_argument("lessons", nargs="*", metavar="LESSON", help="all if none is given")
    mark.add_argument("--learner", action="append", default=[], metavar="ID", help="only this one")
    mark.add_argument("--again", action="store_true", help="also what has not changed")
    mark.add_argument("--cores", type=int, metavar="N", help="how many work at once")
    mark.add_argument("--no-pictures", action="store_true", help="cards only; a little quicker")
    mark.add_argument("--cluster", metavar="ADDRESS", help="a Dask scheduler: tcp://host:8786")
    _add_permission(mark)
    mark.set_defaults(do=_mark)

    feedback = commands.add_parser("feedback", help="write the pages that go back to learners")
    feedback.add_argument("folder", type=_path, metavar="FOLDER", help="the course folder")
    feedback.add_argument("--learner", action="append", default=[], metavar="ID", help="only this")
    feedback.add_argument("--again", action="store_true", help="also what has not changed")
    feedback.add_argument("--with-mark-scheme", action="store_true",
                          help="show learners how answers in words are marked")  # fmt: skip
    feedback.set_defaults(do=_feedback)

    report = commands.add_parser("report", help="write a page on the class, and scores as CSV")
    report.add_argument("folder", type=_path, metavar="FOLDER", help="the course folder")
    report.add_argument("--anonymous", action="store_true", help="numbers in place of names")
    report.set_defaults(do=_report)

    _add_deciding(commands)

    harbour = commands.add_parser("harbour", help="print the class's table of harbour runs")
    harbour.add_argument("folder", type=_path, metavar="FOLDER", help="the course folder")
    _add_permission(harbour)
    harbour.set_defaults(do=_harbour)

    seats = commands.add_parser("seats", help="write the class's places at a broker of your own")
    seats.add_argument("folder", type=_path, metavar="FOLDER", help="the course folder")
    seats.add_argument("--port", type=int, default=1883, metavar="N", help="the broker's port")
    seats.set_defaults(do=_seats)

    room = commands.add_parser("room", help="show during class who is ready and where each is")
    room.add_argument("folder", type=_path, metavar="FOLDER", help="the course folder, or any")
    room.add_argument("--broker", metavar="ADDRESS", help="one of your own; none: it is started")
    room.add_argument("--port", type=int, metavar="N", help="the port of the one that is started")
    room.add_argument("--stuck", type=float, default=10.0, metavar="MINUTES",
                      help="how long until a task counts as stuck (default: 10)")  # fmt: skip
    room.add_argument("--no-browser", action="store_true", help="write the page, open nothing")
    room.set_defaults(do=_room)

    demo = commands.add_parser("demo", help="mark a small made-up class and show the scores")
    demo.add_argument("--folder", type=_path, metavar="FOLDER", help="where the course goes")
    demo.set_defaults(do=_demo)

    doctor = commands.add_parser("doctor", help="say what is ready on this machine and what is not")
    doctor.add_argument("--folder", type=_path, metavar="FOLDER", help="the learner's folder")
    doctor.add_argument("--room", metavar="ADDRESS", help="also tell the class's screen there")
    doctor.add_argument("--alias", metavar="NAME", help="what you want to be called in the room")
    doctor.add_argument("--password", default="", metavar="WORD", help="the room's password")
    doctor.set_defaults(do=_doctor)
    return parser


def _add_deciding(commands: Any) -> None:
    """Add what a term asks: appeals, a second marker, the way from and to a platform."""
    appeal = commands.add_parser("appeal", help="decide on one task of one learner, or list all")
    appeal.add_argument("folder", type=_path, metavar="FOLDER", help="the course folder")
    appeal.add_argument("learner", nargs="?", metavar="LEARNER", help="none: list what is decided")
    appeal.add_argument("task", nargs="?", default="", metavar="TASK", help="such as lamps.signal")
    appeal.add_argument("--points", type=float, metavar="N", help="none: the check runs once more")
    appeal.add_argument("--by", default="", metavar="NAME", help="who decides")
    appeal.add_argument("--why", default="", metavar="WORDS", help="why")
    appeal.set_defaults(do=_appeal)

    roster = commands.add_parser("roster", help="make a roster of a platform's list of the class")
    roster.add_argument("export", type=_path, metavar="EXPORT", help="its list, as CSV")
    roster.add_argument("roster", type=_path, metavar="CSV", help="the roster to write")
    roster.set_defaults(do=_roster)

    back = commands.add_parser("back", help="fill points into a platform's list of the class")
    back.add_argument("folder", type=_path, metavar="FOLDER", help="the course folder")
    back.add_argument("export", type=_path, metavar="EXPORT", help="its list, as CSV")
    back.set_defaults(do=_back)

    second = commands.add_parser("second", help="have a second person mark a sample, and compare")
    second.add_argument("folder", type=_path, metavar="FOLDER", help="the course folder")
    second.add_argument("points", nargs="?", type=_path, metavar="CSV", help="filled in: compare")
    second.add_argument("--draw", type=int, default=20, metavar="N", help="how many answers")
    second.add_argument("--seed", type=int, default=0, metavar="N", help="another draws others")
    second.set_defaults(do=_second)


def _path(text: str) -> Path:
    return Path(text).expanduser().absolute()


# Each command loads what it needs and no more: a learner waits for `release` at every start.


def _build(options: argparse.Namespace) -> int:
    from .course.build import build_all, differences

    if not options.check:
        return build_all(options.lessons)
    found = differences(options.lessons)
    say(*(found or ["Sources and notebooks agree."]))
    return 1 if found else 0


def _release(options: argparse.Namespace) -> int:
    from .course.release import release

    for line in release(options.folder):
        say(line)
    return 0


def _site(options: argparse.Namespace) -> int:
    from .site.build import build_site
    from .site.serve import serve_site

    if not (options.serve and (options.folder / "index.html").is_file()):
        lines = build_site(options.folder, options.lessons, packages=options.packages,
                           pyodide=options.pyodide)  # fmt: skip
        for line in lines:
            say(line)
    return serve_site(options.folder, options.port) if options.serve else 0


def _edition(options: argparse.Namespace) -> int:
    from .course.edition import edition

    for line in edition(options.folder):
        say(line)
    return 0


def _course(options: argparse.Namespace) -> int:
    from .course.classroom import open_class

    for line in open_class(options.folder, options.roster):
        say(line)
    return 0


def _collect(options: argparse.Namespace) -> int:
    from .course.collect import assign, collect

    for file, learner, lesson in options.assign:
        for line in assign(options.folder, options.downloads, file, learner, lesson):
            say(line)
    for line in () if options.assign else collect(options.folder, options.downloads):
        say(line)
    return 0


def _add_permission(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--programs-may-reach-this-computer", action="store_true",
        help="run learners' programs also where nothing keeps them from your files",
    )  # fmt: skip


def _mark(options: argparse.Namespace) -> int:
    from .marking.orders import mark_class

    return mark_class(
        options.folder, options.lessons, options.learner, again=options.again, cores=options.cores,
        pictures=not options.no_pictures, cluster=options.cluster,
        unprotected=options.programs_may_reach_this_computer,
    )  # fmt: skip


def _feedback(options: argparse.Namespace) -> int:
    from .marking.feedback import feedback
    from .marking.progress import Progress

    for line in feedback(options.folder, options.learner, again=options.again,
                         with_scheme=options.with_mark_scheme, progress=Progress):  # fmt: skip
        say(line)
    return 0


def _report(options: argparse.Namespace) -> int:
    from .marking.report import report

    for path in report(options.folder, anonymous=options.anonymous):
        say(path)
    return 0


def _appeal(options: argparse.Namespace) -> int:
    from .marking.appeals import appeal, appeals_of

    made = appeals_of(options.folder)
    if options.learner:
        made = [appeal(options.folder, options.learner, options.task, by=options.by,
                       why=options.why, points=options.points)]  # fmt: skip
    for one in made:
        say(f"{one.when} UTC: {one.learner}, {one.cell}: {one.before:g} -> {one.after:g} points, "
            f"by {one.by}: {one.why}{f' ({one.found})' if one.found else ''}")  # fmt: skip
    return 0


def _roster(options: argparse.Namespace) -> int:
    from .course.platform import read_export, roster_text
    from .whole import write_whole

    if options.roster.exists():
        raise KitError("There is a roster already.", where=str(options.roster),
                       hint="name another file; nothing of yours is written over.")  # fmt: skip
    export = read_export(options.export)
    write_whole(options.roster, roster_text(export).encode("utf-8"))
    say(f"{len(export.people)} learners: {options.roster}")
    return 0


def _back(options: argparse.Namespace) -> int:
    from .marking.back import back

    for line in back(options.folder, options.export):
        say(line)
    return 0


def _second(options: argparse.Namespace) -> int:
    from .marking.second import compare, draw

    if options.points:
        say(*compare(options.folder, options.points))
    else:
        say(*draw(options.folder, options.draw, options.seed))
    return 0


def _harbour(options: argparse.Namespace) -> int:
    from .marking.harbour import harbour_table, submitted_runs

    unprotected = options.programs_may_reach_this_computer
    runs = submitted_runs(options.folder, unprotected=unprotected)
    say(*harbour_table(runs.entries).split("\n"))
    for learner, words in runs.for_you:
        say(*rows_of(f"  for you: {learner}: {words}"))
    return 0


def _seats(options: argparse.Namespace) -> int:
    from .course.classroom import roster_of
    from .course.seats import write_seats

    roster = roster_of(options.folder)
    if not roster.students:
        raise KitError(
            "There is no class in this folder.",
            where=str(options.folder),
            hint="`python3 checks course FOLDER --roster class.csv` makes one.",
        )
    place = options.folder / "broker"
    access = write_seats(roster, place, options.port)
    say(f"{len(access.seats)} seats are in {place}. The file seats.csv there holds passwords.")
    return 0


def _room(options: argparse.Namespace) -> int:
    from .room.screen import show_room

    show_room(options.folder, options.broker, options.port, 60.0 * options.stuck,
              browser=not options.no_browser)  # fmt: skip
    return 0


def _demo(options: argparse.Namespace) -> int:
    from .demo.marked import demo

    demo(options.folder)
    return 0


def _doctor(options: argparse.Namespace) -> int:
    from .doctor import report
    from .room.join import tell_findings

    folder = options.folder or Path.home()
    return report(folder, lambda lacking: tell_findings(
        lacking, folder, options.room, options.alias, options.password))  # fmt: skip

