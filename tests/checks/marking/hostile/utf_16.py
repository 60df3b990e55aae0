"""Written in UTF-16."""

import json

NOTE = "UTF-16"


def make(nb):
    return json.dumps(nb).encode("utf-16")
