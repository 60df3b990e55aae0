# kind: none
# shows: 
# ended: time is up
# only: cpython
from machine import Pin

while True:
    try:
        Pin(2, Pin.OUT).value(1)
    except BaseException:
        pass
