# kind: OSError
# shows: a program on the board cannot
# only: cpython
import sys

sys.modules["os"].system("sleep 60 &")  # here
