# kind: stopped
# shows: ended without a word
# only: cpython
import sys
import time

sys.modules["os"].close(1)
time.sleep(1)
print("gone")
while True:
    pass
