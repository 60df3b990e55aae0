"""A cell makes every criterion content."""

from tests.checks.marking.cases import NOTHING, empty_work, free

TEXT = """\
import checks.task, checks.scorecard
checks.task.share = lambda *a, **k: 1.0
checks.scorecard.Scorecard.__repr__ = lambda self: f"{self.max_points:g}"
"""
POINTS = NOTHING


def make(nb):
    empty_work(nb)
    free(nb, TEXT)
