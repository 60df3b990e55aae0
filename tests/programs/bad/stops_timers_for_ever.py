# kind: none
# shows: 
# ended: time is up
# seconds: 0.2
from machine import Timer

timer = Timer(0)
while True:
    timer.deinit()
