"""The checks were deleted."""

from tests.checks.marking.cases import FULL, name_of

NOTE = "was missing; it was put back"


def make(nb):
    nb["cells"] = [one for one in nb["cells"] if name_of(one) not in FULL]
