"""Starts other programs."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
real("subprocess").run(["sh", "-c", "touch started; sleep 60"])
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
