from machine import Timer

Timer(4, period=100, callback=print)
