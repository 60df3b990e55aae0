"""The locked check was replaced by a number."""

from tests.checks.marking.cases import FULL, NOTHING, cell, empty_work

POINTS = NOTHING
NOTE = "was changed; it was put back"


def make(nb):
    empty_work(nb)
    for name in FULL:
        cell(nb, name)["source"] = "10"
