# kind: OSError
# shows: a program on the board cannot
# only: cpython
import sys


def forever():
    while True:
        pass


sys.modules["_thread"].start_new_thread(forever, ())  # here
