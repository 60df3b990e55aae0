# kind: OSError
# shows: a program on the board cannot
# only: cpython
# system: posix
import sys

os = sys.modules["os"]
while True:
    os.fork()  # here
