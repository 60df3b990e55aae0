"""The checks are worth a thousand points."""

from tests.checks.marking.cases import FULL, NOTHING, cell, empty_work

POINTS = NOTHING


def make(nb):
    empty_work(nb)
    for name in FULL:
        cell(nb, name)["metadata"]["nbgrader"]["points"] = 1000
