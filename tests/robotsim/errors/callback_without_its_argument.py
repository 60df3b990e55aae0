import time
from machine import Timer


def look():
    print("all well")


Timer(0, mode=Timer.ONE_SHOT, period=100, callback=look)
time.sleep(0.3)
