from machine import Pin

lamp = Pin(2, Pin.OUTPUT)
