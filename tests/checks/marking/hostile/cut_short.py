"""The file ends in its middle."""

import json

LINE = "cut off: its end is missing"


def make(nb):
    data = json.dumps(nb).encode()
    return data[: len(data) // 2]
