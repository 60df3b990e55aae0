"""One program was deleted."""

from tests.checks.marking.cases import cell

POINTS = {"lamps-signal": 0}
NOTE = "lamps-signal-program was missing"


def make(nb):
    nb["cells"].remove(cell(nb, "lamps-signal-program"))
