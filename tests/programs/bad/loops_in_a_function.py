# kind: stopped
# shows: without touching the board
# ended: time is up
# seconds: 2
import time


def forever(n):
    while n:  # here
        pass  # here


time.sleep_ms(20)
forever(1)
