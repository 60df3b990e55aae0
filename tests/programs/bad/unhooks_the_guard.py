# kind: OSError
# shows: a program on the board cannot
# only: cpython
import sys

boot = sys.modules["boot_guard"]
boot._forbid.__code__ = (lambda event, args: None).__code__  # here
sys.modules["os"].kill(0, 9)
