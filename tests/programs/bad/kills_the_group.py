# kind: OSError
# shows: a program on the board cannot
# only: cpython
# system: posix
import sys

os = sys.modules["os"]
os.killpg(os.getpgid(os.getppid()), 9)  # here
