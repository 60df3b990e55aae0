"""The file is empty."""

LINE = "The file is empty"


def make(nb):
    return b""
