# kind: ValueError
# shows: period must be positive
from machine import Timer

Timer(0, period=0, callback=print)  # here
