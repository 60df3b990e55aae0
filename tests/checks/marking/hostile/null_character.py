"""Has a null character in it."""

from tests.checks.marking.cases import program

TEXT = """\
x = 1\x00
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
