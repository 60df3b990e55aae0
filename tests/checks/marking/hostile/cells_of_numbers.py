"""Some cells are no cells."""

NOTE = "cannot be read and were left out"


def make(nb):
    nb["cells"] += [1, None, [], {"cell_type": "code", "metadata": [], "source": 7}]
