"""Ends as programs may."""

from tests.checks.marking.cases import program

TEXT = """\
import sys
sys.exit(0)
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
