"""Looks for the gradebook and writes to it."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
base = real("sqlite3").connect("gradebook.db")
base.execute("update grade set auto_score = 99")
base.commit()
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
