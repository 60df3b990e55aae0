# kind: stopped
# shows: without touching the board
# only: cpython
# What stands in a text is not counted: the wall clock alone ends it.
import sys

signal = sys.modules["signal"]
signal.signal(signal.SIGINT, signal.SIG_IGN)
exec("while True: pass")
