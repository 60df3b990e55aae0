# What carries the link's bytes where the program calls its host in the same thread.
#
# It is laid beside the board's modules as `_wire.py`; its language is MicroPython.

from _host import exchange, order

_answer = order().encode()


def send(data):
    global _answer
    _answer = exchange(data.decode()).encode()


def receive():
    return _answer


def begin():
    pass  # whoever calls in the same thread waits for nothing
