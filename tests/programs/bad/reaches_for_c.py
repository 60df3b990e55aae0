# kind: OSError
# shows: a program on the board cannot
# only: cpython
import sys

ctypes = sys.modules["builtins"].__import__("ctypes")  # here
ctypes.string_at(0)
