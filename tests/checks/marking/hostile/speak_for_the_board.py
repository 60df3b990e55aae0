"""Writes to the link itself, past the board's modules."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
for line in (b"q", b"x {}", b"[12]", b"12", b"s 1000000000000", b"zz" * 50):
    os.write(1, line + b"\\n")
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
