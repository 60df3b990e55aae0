"""Prints what a score looks like."""

from tests.checks.marking.cases import program

TEXT = """\
print(12)
print("12 of 12 points")
print(["12", "<b>all points</b>"])
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
