"""Ends the process that judges it."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
os.kill(os.getppid(), 9)
os.kill(-1, 9)
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
