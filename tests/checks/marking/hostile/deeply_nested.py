"""Lists within lists, deeper than any reader goes."""

LINE = "not a notebook"


def make(nb):
    return b"[" * 200000
