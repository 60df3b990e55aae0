"""Has brackets within brackets, very many."""

from tests.checks.marking.cases import program

POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, "x = " + "(" * 5000 + ")" * 5000)
