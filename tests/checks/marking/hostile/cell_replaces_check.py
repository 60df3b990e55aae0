"""A cell replaces the function that checks."""

from tests.checks.marking.cases import NOTHING, empty_work, free

TEXT = """\
class Card(float):
    def __repr__(self): return "10"
def check(*_, **__): return Card(10)
import checks
checks.check = check
"""
POINTS = NOTHING


def make(nb):
    empty_work(nb)
    free(nb, TEXT)
