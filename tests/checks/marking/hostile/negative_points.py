"""The checks are worth less than nothing, and then no number."""

from tests.checks.marking.cases import FULL, cell

def make(nb):
    first, *rest = FULL
    cell(nb, first)["metadata"]["nbgrader"]["points"] = -10
    for name in rest:
        cell(nb, name)["metadata"]["nbgrader"]["points"] = "many"
