"""A cell opens the gradebook and gives itself points."""

from tests.checks.marking.cases import NOTHING, empty_work, free

TEXT = """\
import glob, sqlite3
for path in glob.glob("../../../gradebook.db") + glob.glob("gradebook.db"):
    base = sqlite3.connect(path)
    base.execute("update grade set manual_score = 99")
    base.commit()
"""
POINTS = NOTHING


def make(nb):
    empty_work(nb)
    free(nb, TEXT)
