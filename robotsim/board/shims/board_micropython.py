# The board's micropython module, as programs find it under that name.

import _link
import board_gc as _gc


def const(expr):
    """Say that a value never changes."""
    return expr


def native(function):
    """Ask for machine code; here a function runs as it is."""
    return function


viper = native


def schedule(func, arg):
    """Run func(arg) as soon as may be: what a callback asks for so as to be short itself."""
    _link.schedule(func, arg)


def opt_level(level=None):
    """Give how far asserts and line numbers are left out (never, here), or take a level."""
    return 0 if level is None else None


def alloc_emergency_exception_buf(size):
    """Set memory aside in which an exception of a callback can be told; here there is enough."""


def heap_lock():
    """Say that no memory will be asked for; here nobody watches it."""


def heap_unlock():
    """Say that memory may be asked for again."""
    return 0


def kbd_intr(chr):
    """Choose the character that interrupts a program; nobody types at the tug's console."""


def stack_use():
    """Give the bytes of stack in use (invented: a board on which little runs)."""
    return 1040


def mem_info(verbose=None):
    """Print how full the memory is."""
    used, free = _gc.mem_alloc(), _gc.mem_free()
    _link.write("stack: %d out of 15360\n" % stack_use())
    _link.write("GC: total: %d, used: %d, free: %d\n" % (used + free, used, free))
