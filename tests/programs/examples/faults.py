# Catches what it can, prints it as the board does, and ends with what it cannot.
import sys
import time
from machine import Pin, Timer


def deep(n):
    if n == 0:
        raise ValueError("too deep")
    deep(n - 1)


try:
    deep(3)
except ValueError as fault:
    sys.print_exception(fault)
try:
    Pin(34, Pin.OUT)
except ValueError as fault:
    print("ValueError:", fault)
try:
    import numpy
except ImportError as fault:
    print("ImportError:", fault)


def late(timer):
    raise KeyError("in a callback")


Timer(0, mode=Timer.ONE_SHOT, period=20, callback=late)
time.sleep_ms(50)
print("on we go")
deep(5)
