# kind: OSError
# shows: a program on the board cannot
# only: cpython
import sys

os = sys.modules["os"]
os.execv("python", ["python", "-c", "while True: pass"])  # here
