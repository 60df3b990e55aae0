# kind: OSError
# shows: a program on the board cannot
# only: cpython
import sys

os = sys.modules["os"]
os.open("quayside-was-here", os.O_WRONLY | os.O_CREAT)  # here
