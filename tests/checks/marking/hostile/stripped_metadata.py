"""Another program took all metadata and all ids away."""

def make(nb):
    nb["metadata"] = {}
    nb["nbformat_minor"] = 4
    for one in nb["cells"]:
        one["metadata"] = {}
        one.pop("id", None)
