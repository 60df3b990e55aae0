"""Refine: `python3 robotsim fit`, which makes a tug.json more like its tug by what was measured."""

from __future__ import annotations

import argparse
import json
import shlex
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import KitError, unreadable
from ..kept import put
from .card import to_mend

if TYPE_CHECKING:
    from ..twin.fit import FloorRun

__all__ = ["refine"]

_OFFER = (
    "`--to survey.py` has the program written as a file, whole or not at all; a shell's "
    "`> survey.py` leaves an empty file, which a board would start, where this command fails."
)


def refine(given: argparse.Namespace) -> int:
    """Carry out the command: print the survey's program, or fit the twin and write its file.

    Raises:
        KitError: A file or a run cannot be read, or no tug does what was measured.
    """
    from ..twin.figures import load, within
    from ..twin.fit import fit, read_run, straight
    from ..twin.tug_file import known_runs, read_card, refined

    if given.leg and not given.survey:
        raise KitError("A leg is for the survey to drive.", where="--leg",
                       hint="add --survey; a run that was measured is --run.")  # fmt: skip
    if given.survey:
        _survey(given)
        return 0
    if given.to:
        raise KitError("A file is for the survey's program.", where="--to",
                       hint="add --survey; what is fitted goes into the tug's own file.")
    data = load(given.tug)
    with within(given.tug):
        runs = [*map(read_run, known_runs(data))]
    for log in given.log:
        runs += _of_a_day(log, {str(run) for run in runs})
    runs += map(_measured, given.run)
    with within(given.tug):
        twin = fit(read_card(data), runs)
    left, right = efforts = straight(twin.quirks, twin.charge)
    found = refined(data, twin, [str(run) for run in runs], efforts)
    print(f"{twin}\nEfforts with which it runs straight: left {left:.3f}, right {right:.3f}.")
    print(_written(given.tug, json.dumps(found, indent=2) + "\n"))
    tug = given.tug.absolute().as_posix()  # a notebook lies elsewhere
    print(f"Next: run(\"drive.py\", tug=\"{tug}\") drives the twin, in a notebook; `python3 "
          f"{shlex.join(['robotsim', 'aboard', 'main.py', '--tug', tug])}` puts a program onto the "
          "tug, and these figures as its settings.py if none lies beside the program.")  # fmt: skip
    return 0


def _survey(given: argparse.Namespace) -> None:
    """Print the survey's program, or write it as a file."""
    from ..twin.figures import load
    from ..twin.survey import USUAL, survey_program

    try:
        lacks = to_mend(load(given.tug))
        text = survey_program([*map(_leg, given.leg)] or USUAL)
        print(_written(given.to, text) if given.to else text)
        if lacks:
            print(f"{lacks} The survey needs bumper and wheels.", file=sys.stderr)
    finally:
        if not given.to:
            print(_OFFER, file=sys.stderr)


def _leg(text: str) -> tuple[float, float, float]:
    """Read a leg: efforts of left and right, and s."""
    from ..twin.fit import read_run

    try:
        return read_run(f"{text},-,-,-").legs
    except KitError as fault:
        raise KitError(f"A leg is left, right, seconds, not {text!r}.", where="--leg",
                       hint="0.5,0.5,5.6: efforts -1 to 1, and s, joined by commas.") from fault


def _written(file: Path, text: str) -> str:
    """Write a file, and say so, and what has become of the one before it."""
    try:
        old = put(file, text)
    except OSError as fault:
        raise KitError(f"The file cannot be written: {fault.strerror}.",
                       where=str(file.absolute()),
                       hint="name a file, in a folder that is there and yours.") from fault
    before = f"; what was there before is kept as {old.name}" if old else ""
    return f"Written: {file.absolute()}{before}."


def _measured(text: str) -> FloorRun:
    """Read a run that was measured: one without a measurement says nothing of a tug."""
    from ..twin.fit import read_run

    run = read_run(text)
    if not run.measured:
        raise KitError("Nothing was measured of this run.", where=f"--run {text}",
                       hint="put in what the ruler says: m ahead, m to port, degrees to port; a - "
                       "for one that you have not.")  # fmt: skip
    return run


def _of_a_day(log: Path, known: set[str]) -> list[FloorRun]:
    """Read the runs of a survey's log, which may count once only."""
    from ..twin.fit import count_runs, read_runs

    printed = _printed(log)
    runs = read_runs(printed)
    if known >= {str(run) for run in runs}:
        raise KitError("The runs of this log count already, to the last digit.", where=str(log),
                       hint="leave it out: a survey of another day gives other figures."
                       )  # fmt: skip
    if left_out := count_runs(printed) - sum(run.times for run in runs):
        print(f"{log.name}: {left_out} of its {count_runs(printed)} runs are far from the others "
              "like them (jostled?) and are left out.")  # fmt: skip
    return runs


def _printed(log: Path) -> str:
    try:
        return log.read_text(encoding="utf-8")
    except (OSError, ValueError) as fault:
        hint = "`python3 robotsim aboard survey.py --take day1` keeps it in day1/survey.txt."
        raise unreadable("What the survey printed", log, fault, hint) from fault
