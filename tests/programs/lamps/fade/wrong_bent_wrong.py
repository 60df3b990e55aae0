# criterion: It comes up evenly to the eye
# mistake: the curve is bent the wrong way
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
for step in range(1, 201):
    v = int(255 * (step / 200) ** (1 / 2.2))
    np[2] = (v, v, v)
    np.write()
    time.sleep_ms(20)
