# What carries the link's bytes in a browser: calls of the host, in the same thread.
#
# Laid beside the board's modules as `_wire.py`; its language is MicroPython.

from _host import exchange, order

_answer = order().encode()


def send(data):
    global _answer
    _answer = exchange(data.decode()).encode()


def receive():
    return _answer
