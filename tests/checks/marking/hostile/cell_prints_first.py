"""A cell of the check prints a result before the check does."""

from tests.checks.marking.cases import NOTHING, empty_work, free

TEXT = """\
from IPython.display import display
import builtins
builtins.check = lambda *_: 10
"""
POINTS = NOTHING


def make(nb):
    empty_work(nb)
    free(nb, TEXT)
