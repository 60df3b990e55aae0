# kind: SyntaxError
# shows: 
from machine import Pin

led = = Pin(2, Pin.OUT)  # here
led.on()
