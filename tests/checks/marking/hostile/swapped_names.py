"""The names of two programs were changed for one another."""

from tests.checks.marking.cases import cell

def make(nb):
    one, other = cell(nb, "lamps-side-program"), cell(nb, "lamps-signal-program")
    one["metadata"], other["metadata"] = other["metadata"], one["metadata"]
    one["id"], other["id"] = other["id"], one["id"]
