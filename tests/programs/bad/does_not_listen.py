# kind: stopped
# shows: without touching the board
# only: cpython
import sys

os = sys.modules["os"]
while True:  # here
    os.write(1, b"N\n" * 1000)  # here
