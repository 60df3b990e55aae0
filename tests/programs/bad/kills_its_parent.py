# kind: OSError
# shows: a program on the board cannot
# only: cpython
import sys

os = sys.modules["os"]
os.kill(os.getppid(), 9)  # here
