# kind: OSError
# shows: ENODEV
from machine import I2C, Pin

I2C(0, scl=Pin(22), sda=Pin(21)).readfrom(0x42, 1)  # here
