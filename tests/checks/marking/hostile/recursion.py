"""Calls itself without end."""

from tests.checks.marking.cases import program

TEXT = """\
def f():
    return f()
f()
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
