# kind: ValueError
# shows: invalid pin
from machine import Pin

Pin("lamps", Pin.OUT)  # here
