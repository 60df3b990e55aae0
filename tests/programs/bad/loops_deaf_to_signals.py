# kind: stopped
# shows: without touching the board
# only: cpython
import sys

signal = sys.modules["signal"]
signal.signal(signal.SIGINT, signal.SIG_IGN)
while True:
    pass
