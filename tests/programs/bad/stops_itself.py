# kind: stopped
# shows: without touching the board
# only: cpython
# system: posix
import sys

signal = sys.modules["signal"]
signal.raise_signal(signal.SIGSTOP)
