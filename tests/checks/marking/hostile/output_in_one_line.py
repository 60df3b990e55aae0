"""Prints one line of 50 MB."""

from tests.checks.marking.cases import program

TEXT = """\
print("x" * 50000000)
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
