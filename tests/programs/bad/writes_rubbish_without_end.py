# kind: stopped
# shows: does not understand
# only: cpython
import sys

while True:
    sys.modules["os"].write(1, b"rubbish\n" * 1000)
