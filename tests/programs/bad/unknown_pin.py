# kind: ValueError
# shows: invalid pin
from machine import Pin

Pin(99, Pin.OUT)  # here
