# kind: stopped
# shows: a message without end
# only: cpython
import sys

while True:
    sys.modules["os"].write(1, b"x" * 10000)
