from machine import Timer

Timer(0, callback=print)
