# kind: OSError
# shows: a program on the board cannot
# only: cpython
import json

ctypes = json.__builtins__["__import__"]("ctypes")  # here
ctypes.string_at(0)
