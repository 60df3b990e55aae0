"""Everything but the programs was deleted."""

from tests.checks.marking.cases import name_of

NOTE = "was missing; it was put back"


def make(nb):
    nb["cells"] = [one for one in nb["cells"] if name_of(one).endswith("-program")]
