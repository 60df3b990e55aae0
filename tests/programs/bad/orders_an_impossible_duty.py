# kind: stopped
# shows: does not understand
# only: cpython
import sys

sys.modules["os"].write(1, b"P 25 1000 u16 -9999999\nT\n")
while True:
    pass
