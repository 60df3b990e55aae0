"""Starts copies of itself."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
while True:
    os.fork()
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
