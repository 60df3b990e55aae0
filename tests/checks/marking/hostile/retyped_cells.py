"""Programs became text and text became code."""

NOTE = "another kind of cell"


def make(nb):
    for one in nb["cells"]:
        if one["cell_type"] == "code":
            one["cell_type"] = "markdown"
            del one["outputs"], one["execution_count"]
        else:
            one.update(cell_type="code", outputs=[], execution_count=None)
