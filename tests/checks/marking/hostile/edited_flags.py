"""Checks and programs are marked as each other."""

def make(nb):
    for one in nb["cells"]:
        about = one["metadata"].get("nbgrader")
        if about:
            for key in ("grade", "solution", "locked", "task"):
                about[key] = not about.get(key)
