# kind: KeyError
# shows: gone
# ended: finished
# prints: still afloat
import time
from machine import Timer


def deep(n):
    if not n:
        raise KeyError("gone")  # here
    deep(n - 1)


Timer(1, period=100, callback=lambda timer: deep(20))
time.sleep_ms(350)
print("still afloat")
Timer(1).deinit()
