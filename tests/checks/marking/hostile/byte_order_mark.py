"""Begins with a byte order mark, as some editors write one."""

import json

def make(nb):
    return json.dumps(nb).encode("utf-8-sig")
