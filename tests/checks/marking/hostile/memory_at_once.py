"""Asks for more memory than there is."""

from tests.checks.marking.cases import program

TEXT = """\
kept = bytes(10 ** 12)
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
