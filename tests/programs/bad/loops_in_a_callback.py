# kind: stopped
# shows: without touching the board
# ended: time is up
# seconds: 2
import time
from machine import Timer


def stuck(timer):
    while True:  # here
        pass  # here


Timer(1, period=100, callback=stuck)
time.sleep(1)
