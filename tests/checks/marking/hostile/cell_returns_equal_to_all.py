"""A cell puts an object that equals everything in the check's place."""

from tests.checks.marking.cases import NOTHING, empty_work, free

TEXT = """\
class Same:
    def __eq__(self, other): return True
    def __repr__(self): return "True"
check = lambda *_: Same()
"""
POINTS = NOTHING


def make(nb):
    empty_work(nb)
    free(nb, TEXT)
