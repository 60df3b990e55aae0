"""A check is there twice."""

from tests.checks.marking.cases import place

def make(nb):
    at = place(nb, "lamps-side")
    nb["cells"].insert(at, dict(nb["cells"][at]))
