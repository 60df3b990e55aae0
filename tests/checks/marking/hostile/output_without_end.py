"""Prints without end."""

from tests.checks.marking.cases import program

TEXT = """\
while True:
    print("ahoy " * 40)
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
