"""Writes files."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
for path in ("mine.txt", "/tmp/quayside-mine.txt"):
    try:
        print("WROTE", os.open(path, os.O_WRONLY | os.O_CREAT))
    except BaseException as fault:
        print("kept out:", type(fault).__name__)
raise SystemExit
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
