"""The notebook of another lesson."""

from tests.checks.marking.cases import name_of

LINE = "No cell of the lesson lamps"


def make(nb):
    for one in nb["cells"]:
        if name_of(one):
            name = name_of(one).replace("lamps", "drive")
            one["metadata"]["nbgrader"]["grade_id"] = one["id"] = name
        one["source"] = one["source"].replace("side.py", "x.py").replace("fade.py", "y.py")
        one["source"] = one["source"].replace("signal.py", "z.py").replace("lamps.", "drive.")
