import time
from machine import Pin, Timer

counts = {}


def count(timer):
    counts["hits"] += 1


Timer(0, mode=Timer.ONE_SHOT, period=100, callback=count)
time.sleep(0.3)
