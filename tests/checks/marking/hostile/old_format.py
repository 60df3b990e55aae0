"""As notebooks were written until 2014."""

def make(nb):
    cells = [
        {**one, "input": one["source"], "language": "python"} if one["cell_type"] == "code" else one
        for one in nb["cells"]
    ]
    for one in cells:
        if "input" in one:
            del one["source"]
    return {
        "worksheets": [{"cells": cells, "metadata": {}}], "metadata": {}, "nbformat": 3,
        "nbformat_minor": 0,
    }
