"""Is no JSON."""

LINE = "not a notebook"


def make(nb):
    return b"{ this was a notebook"
