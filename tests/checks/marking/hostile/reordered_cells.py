"""All cells stand in the opposite order."""

NOTE = "another order"


def make(nb):
    nb["cells"].reverse()
