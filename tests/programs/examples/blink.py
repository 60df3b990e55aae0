# A lamp on a pin of its own, on and off, and a chain of lamps that changes with it.
import time
from machine import Pin
from neopixel import NeoPixel

led = Pin(2, Pin.OUT)
chain = NeoPixel(Pin(13), 5)
for turn in range(6):
    led.value(turn % 2)
    chain.fill((0, 0, 0))
    chain[turn % 5] = (255, 128, 1)
    chain.write()
    time.sleep(0.25)
led.off()
print("level", led.value(), chain[0], len(chain))
