"""Calls home."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
real("_socket").socket().connect(("127.0.0.1", 80))
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
