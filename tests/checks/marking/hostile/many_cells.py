"""Has five thousand cells."""

NOTE = "were left out"


def make(nb):
    one = {"cell_type": "markdown", "metadata": {}, "source": "again"}
    nb["cells"] += [dict(one, id=f"again{k}") for k in range(5000)]
