"""Has 70 MB."""

LINE = "more than 64 are not read"


def make(nb):
    return b" " * (70 * 1024 * 1024) + b"{}"
