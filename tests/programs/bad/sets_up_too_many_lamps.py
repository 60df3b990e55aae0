# kind: MemoryError
# shows: memory allocation failed
from machine import Pin
from neopixel import NeoPixel

NeoPixel(Pin(13), 100_000)  # here
