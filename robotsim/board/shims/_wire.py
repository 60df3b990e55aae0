# What carries the link's bytes: a process's standard input and output.
#
# Where there is no process another file of this name takes its place: see the page LINK.md.

import sys

try:  # CPython: the bare file descriptors, without a layer between
    from os import read as _read
    from os import write as _write

    def send(data):
        while data:
            data = data[_write(1, data) :]

    def receive():
        data = _read(0, 65536)
        while data and not data.endswith(b"\n"):
            data += _read(0, 65536)
        return data[:-1]

except ImportError:  # MicroPython
    _in, _out = sys.stdin.buffer, sys.stdout.buffer

    def send(data):
        _out.write(data)

    def receive():
        return _in.readline()[:-1]


def begin():
    send(b"\n")  # an empty line before all others
