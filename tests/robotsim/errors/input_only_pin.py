from machine import Pin

signal = Pin(34, Pin.OUT)
signal.on()
