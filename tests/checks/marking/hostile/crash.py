"""Makes the interpreter crash with code that no compiler writes."""

from tests.checks.marking.cases import program

TEXT = """\
def f():
    pass
bad = f.__code__.replace(co_code=bytes([100, 255, 90, 255]) * 100, co_stacksize=0)
exec(bad)
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
