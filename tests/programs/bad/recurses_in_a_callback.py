# kind: RuntimeError
# shows: maximum recursion depth exceeded
# ended: finished
# prints: still afloat
import time
from machine import Timer


def down(timer):
    down(timer)  # here


Timer(1, mode=Timer.ONE_SHOT, period=100, callback=down)
time.sleep_ms(300)
print("still afloat")
