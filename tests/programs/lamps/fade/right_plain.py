import time
import neopixel
from machine import Pin

np = neopixel.NeoPixel(Pin(13), 5)
for step in range(1, 101):
    if step <= 8:
        share = step / 903.3
    else:
        share = ((step + 16) / 116) ** 3
    v = round(255 * share)
    np[2] = (v, v, v)
    np.write()
    time.sleep_ms(40)
