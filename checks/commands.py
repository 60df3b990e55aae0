"""What `python3 checks` can do with the lessons from the command line."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from robotsim import KitError, core

from .arguments import parser
from .faults import halting, misplaced, see_there
from .shown import rows_of, say

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the command line asks for; give the exit code."""
    given = sys.argv[1:] if arguments is None else [*arguments]
    try:
        options = parser().parse_args(given or ["--help"])
        return int(_DO[options.do](options))
    except KitError as trouble:
        say(*rows_of(trouble), file=sys.stderr)
        return 1
    except ModuleNotFoundError as missing:
        if not (missing.name or "").startswith("checks."):
            raise
        say("This is the learners' edition of the kit, which has no such command.",
            "  Try: the whole kit, which your teacher has.", file=sys.stderr)  # fmt: skip
        return 1
    except KeyboardInterrupt as stop:
        say("", " ".join(filter(None, ("Stopped.", str(stop)))), file=sys.stderr)
        return 130
    except Exception as fault:
        # Whatever a command was at: a full disk or a closed folder has the same words everywhere.
        halt = halting(fault) or misplaced(fault)
        if halt is None:
            raise
        say(*rows_of(halt), file=sys.stderr)
        return 1


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
    if core.state is core.Core.OUTDATED:
        say("The compiled core is of other sources than these, so trials run from the sources.",
            "  Try: `python3 lessons --compile` makes it anew.")  # fmt: skip
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


def _hub(options: argparse.Namespace) -> int:
    from .hub.write import write_hub

    for line in write_hub(options.folder, options.course, roster=options.roster,
                          teacher=options.teacher, address=options.address):  # fmt: skip
        say(line)
    return 0


def _edition(options: argparse.Namespace) -> int:
    from .course.edition import edition

    for line in edition(options.folder):
        say(line)
    return 0


def _paper(options: argparse.Namespace) -> int:
    from .course.paper_page import paper

    for line in paper(options.folder, options.lessons):
        say(line)
    return 0


def _course(options: argparse.Namespace) -> int:
    from .course.classroom import open_class

    for line in open_class(options.folder, options.roster):
        say(line)
    return 0


def _collect(options: argparse.Namespace) -> int:
    from .course.assign import assign
    from .course.collect import collect

    if options.assign:
        for line in assign(options.folder, options.downloads, options.assign):
            say(line)
        say("Nothing else was taken: the same command without --assign takes the rest.")
        return 0
    for line in collect(options.folder, options.downloads):
        say(line)
    return 0


def _mark(options: argparse.Namespace) -> int:
    from .marking.orders import mark_class

    return mark_class(
        options.folder, options.lessons, options.learner, again=options.again, cores=options.cores,
        pictures=not options.no_pictures, cluster=options.cluster,
        unprotected=options.programs_may_reach_this_computer,
    )  # fmt: skip


def _feedback(options: argparse.Namespace) -> int:
    from .hub.back import give_back, see_desk
    from .marking.feedback import feedback
    from .marking.progress import Progress

    if options.to:
        see_desk(options.to)  # before minutes of writing, and not after
    for line in feedback(options.folder, options.learner, options.lessons, again=options.again,
                         with_scheme=options.with_mark_scheme, progress=Progress):  # fmt: skip
        say(line)
    if options.to:
        for line in give_back(options.folder, options.to):
            say(line)
    return 0


def _grade(options: argparse.Namespace) -> int:
    from .marking.grading import grade

    return grade(options.folder, options.port, browser=not options.no_browser)


def _report(options: argparse.Namespace) -> int:
    from .marking.report import report

    for path in report(options.folder, anonymous=options.anonymous):
        say(path)
    return 0


def _appeal(options: argparse.Namespace) -> int:
    from .marking.answers import nothing_written
    from .marking.appeals import appeal, why_uncounted
    from .marking.decided import appeals_of
    from .marking.waiting import waiting

    made = earlier = appeals_of(options.folder)
    if not options.learner and not made:
        say("Nothing was decided in this course yet.")
    if options.learner:
        made = [appeal(options.folder, options.learner, options.task, by=options.by,
                       why=options.why, points=options.points, again=options.again)]  # fmt: skip
        if made[0] in earlier:
            say("This was decided already:")
    for one in made:
        before = "not marked" if one.before is None else f"{one.before:g}"
        after = "waits for points again" if one.after is None else f"{one.after:g} points"
        say(f"{one.when} UTC: {one.learner}, {one.cell}: {before} -> {after}, "
            f"by {one.by}: {one.why}{f' ({one.found})' if one.found else ''}")  # fmt: skip
    late = waiting(options.folder)
    for learner, lesson in dict.fromkeys((one.learner, one.lesson) for one in made):
        if words := late.told(learner, lesson):
            say(f"look: {learner}, {lesson}: {words}")
    for one in made if options.learner else ():
        if nothing_written(options.folder, one.learner, one.lesson, one.cell):
            say("look: nothing is written there in the notebook; the points are given all the same")
        if words := why_uncounted(options.folder, one.learner, one.lesson):
            say(f"look: these points count nowhere: {words}")
    return 0


def _roster(options: argparse.Namespace) -> int:
    from .course.platform import read_export, roster_text
    from .whole import write_whole
    from .words import counted

    if options.roster.is_dir() or not options.export.exists() and options.roster.exists():
        raise KitError(
            f"{options.export.name} is to be read, and {options.roster.name} to be written"
            f"{', which is a folder' if options.roster.is_dir() else ' and is there already'}.",
            hint="first the platform's list, then a new file: "
                 "`python3 checks roster LIST.csv class.csv`.",
        )  # fmt: skip
    if options.roster.exists():
        raise KitError("There is a file of this name already.", where=str(options.roster),
                       hint="name another one; nothing of yours is written over.")  # fmt: skip
    export = read_export(options.export)
    write_whole(options.roster, roster_text(export).encode("utf-8"))
    for words in export.doubtful:
        say(f"look: {words}")
    say(f"{counted(len(export.people), 'learner')}: {options.roster}")
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
    from .course.roster import roster_of
    from .course.seats import write_seats
    from .words import counted

    see_there(options.folder)
    roster = roster_of(options.folder)
    if not roster.students:
        raise KitError(
            "There is no class in this folder.",
            where=str(options.folder),
            hint="`python3 checks course FOLDER --roster class.csv` makes one.",
        )
    place = options.folder / "broker"
    access = write_seats(roster, place, options.port)
    made = counted(len(access.seats), "seat")
    say(f"{made} in {place}. The file seats.csv there holds passwords.")
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


_DO: dict[str, Callable[[argparse.Namespace], int]] = {
    "build": _build,
    "release": _release,
    "edition": _edition,
    "hub": _hub,
    "site": _site,
    "paper": _paper,
    "course": _course,
    "collect": _collect,
    "mark": _mark,
    "feedback": _feedback,
    "grade": _grade,
    "report": _report,
    "harbour": _harbour,
    "seats": _seats,
    "room": _room,
    "demo": _demo,
    "doctor": _doctor,
    "appeal": _appeal,
    "roster": _roster,
    "back": _back,
    "second": _second,
}
