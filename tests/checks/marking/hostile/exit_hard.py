"""Ends its process behind the interpreter's back."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
os._exit(0)
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
