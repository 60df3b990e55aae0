"""Is a program of two million letters."""

from tests.checks.marking.cases import program

POINTS = {"lamps-signal": 0}
NOTE = "letters was cut"


def make(nb):
    program(nb, "x = 1\n" * 300000)
