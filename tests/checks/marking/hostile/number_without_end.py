"""Works out a number that nobody can wait for."""

from tests.checks.marking.cases import program

TEXT = """\
print(10 ** 10 ** 10)
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
