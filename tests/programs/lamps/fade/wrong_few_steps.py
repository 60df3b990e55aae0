# criterion: The mast lamp comes up in small steps
# mistake: too few steps
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
for lightness in range(20, 101, 20):
    v = round(255 * ((lightness + 16) / 116) ** 3)
    np[2] = (v, v, v)
    np.write()
    time.sleep(1)
