"""Is no program."""

from tests.checks.marking.cases import program

TEXT = """\
while True print(
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
