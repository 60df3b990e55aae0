# criterion: The mast lamp comes up in small steps
# mistake: wrong lamp
import time
from machine import Pin
from neopixel import NeoPixel

MAST = 3
np = NeoPixel(Pin(13), 5)
for step in range(1, 101):
    v = round(255 * (((step + 16) / 116) ** 3 if step > 8 else step / 903.3))
    np[MAST] = (v, v, v)
    np.write()
    time.sleep_ms(40)
