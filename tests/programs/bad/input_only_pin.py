# kind: ValueError
# shows: pin can only be input
from machine import Pin

Pin(34, Pin.OUT)  # here
