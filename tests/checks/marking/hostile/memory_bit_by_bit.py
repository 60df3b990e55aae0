"""Takes memory without end."""

from tests.checks.marking.cases import program

TEXT = """\
kept = []
while True:
    kept.append(bytes(1000000))
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
