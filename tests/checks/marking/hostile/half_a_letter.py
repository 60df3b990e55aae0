"""Has half a pair of surrogates in it."""

from tests.checks.marking.cases import program

TEXT = """\
x = "\\ud800"
print(x)
raise SystemExit
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
