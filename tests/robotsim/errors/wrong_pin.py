from machine import Pin

lamp = Pin(28, Pin.OUT)
