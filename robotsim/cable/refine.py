"""Refine: `python3 robotsim fit`, which makes a tug.json more like its tug by what was measured."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import KitError
from .card import keep

if TYPE_CHECKING:
    from ..twin.fit import FloorRun

__all__ = ["refine"]


def refine(given: argparse.Namespace) -> int:
    """Carry out the command: print the survey's program, or fit the twin and write its file.

    Raises:
        KitError: A file or a run cannot be read, or no tug does what was measured.
    """
    from ..twin.figures import load, within
    from ..twin.fit import fit, read_run, straight
    from ..twin.survey import USUAL, survey_program
    from ..twin.tug_file import known_runs, read_card, refined

    if given.leg and not given.survey:
        raise KitError("A leg is for the survey to drive.", where="--leg",
                       hint="add --survey; a run that was measured is --run.")  # fmt: skip
    data = load(given.tug)
    if given.survey:
        legs = [read_run(f"{text},-,-,-").legs for text in given.leg]
        print(survey_program(legs or USUAL))
        return 0
    with within(given.tug):
        runs = [*map(read_run, known_runs(data))]
    for log in given.log:
        runs += _of_a_day(log, {str(run) for run in runs})
    runs += map(read_run, given.run)
    with within(given.tug):
        twin = fit(read_card(data), runs)
    found = refined(data, twin, [str(run) for run in runs], straight(twin.quirks, twin.charge))
    keep(given.tug)
    given.tug.write_text(json.dumps(found, indent=2) + "\n", encoding="utf-8", newline="\n")
    print(twin)
    return 0


def _of_a_day(log: Path, known: set[str]) -> list[FloorRun]:
    """Read the runs of a survey's log, which may count once only."""
    from ..twin.fit import count_runs, read_runs

    printed = _printed(log)
    runs = read_runs(printed)
    if known >= {str(run) for run in runs}:
        raise KitError("The runs of this log count already, to the last digit.", where=log.name,
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
        raise KitError(f"What the survey printed cannot be read: {fault}.", where=log.name,
                       hint="`python3 robotsim aboard survey.py --take day1` keeps it."
                       ) from fault  # fmt: skip
