# kind: stopped
# shows: ended without a word
# only: cpython
# system: posix
import sys

sys.modules["signal"].raise_signal(9)
