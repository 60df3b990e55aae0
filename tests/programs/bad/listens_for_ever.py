# kind: stopped
# shows: without touching the board
# only: cpython
import sys

sys.modules["os"].read(0, 1)  # here
