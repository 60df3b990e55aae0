# The board's gc module, as programs find it under the name gc.
#
# How much memory a program needs is not followed here: the figures are those of a board
# on which little runs (invented).  `ready` measures a program under the real interpreter.

_ALL = 111168
_USED = 14592
_on = [True]
_threshold = [-1]


def collect():
    """Give back the memory that nothing uses any more."""


def enable():
    """Let memory be given back by itself."""
    _on[0] = True


def disable():
    """Let memory be given back by collect() only."""
    _on[0] = False


def isenabled():
    """Tell whether memory is given back by itself."""
    return _on[0]


def mem_alloc():
    """Give the bytes of the heap that are in use."""
    return _USED


def mem_free():
    """Give the bytes of the heap that are free."""
    return _ALL - _USED


def threshold(amount=None):
    """Give after how many bytes memory is given back, or set it."""
    if amount is None:
        return _threshold[0]
    _threshold[0] = amount
