"""The names of all cells were changed."""

from tests.checks.marking.cases import name_of

def make(nb):
    for number, one in enumerate(nb["cells"]):
        if name_of(one):
            one["metadata"]["nbgrader"]["grade_id"] = f"mine-{number}"
            one["id"] = f"mine-{number}"
