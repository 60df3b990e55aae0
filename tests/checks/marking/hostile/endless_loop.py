"""A loop without end that never touches the board."""

from tests.checks.marking.cases import program

TEXT = """\
while True:
    pass
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
