"""A loop without end that swallows every interrupt."""

from tests.checks.marking.cases import program

TEXT = """\
while True:
    try:
        while True:
            pass
    except BaseException:
        pass
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
