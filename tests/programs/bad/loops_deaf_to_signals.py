# kind: stopped
# shows: without touching the board
# ended: time is up
# seconds: 2
# only: cpython
import sys

signal = sys.modules["signal"]
signal.signal(signal.SIGINT, signal.SIG_IGN)
while True:  # here
    pass  # here
