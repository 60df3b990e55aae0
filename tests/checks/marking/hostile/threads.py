"""Starts threads without end."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
thread = real("_thread")
while True:
    thread.start_new_thread(lambda: None, ())
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
