# kind: stopped
# shows: does not understand
# only: cpython
import sys

sys.modules["os"].write(1, b"\x00\xffrubbish\n")
while True:
    pass
