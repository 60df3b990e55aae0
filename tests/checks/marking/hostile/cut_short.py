"""The file ends in its middle."""

import json

LINE = "not a notebook"


def make(nb):
    data = json.dumps(nb).encode()
    return data[: len(data) // 2]
