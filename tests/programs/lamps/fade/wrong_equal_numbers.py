# criterion: It comes up evenly to the eye
# mistake: equal steps of the number
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
for v in range(256):
    np[2] = (v, v, v)
    np.write()
    time.sleep_us(15600)
