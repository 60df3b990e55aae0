"""JSON, but no notebook."""

LINE = "without cells"


def make(nb):
    return [nb]
