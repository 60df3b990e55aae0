# kind: stopped
# shows: ended without a word
# only: cpython
import sys

sys.modules["os"]._exit(0)
