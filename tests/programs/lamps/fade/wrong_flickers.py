# criterion: It never falls back
# mistake: the lamp flickers on its way
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
for step in range(1, 101):
    v = round(255 * (((step + 16) / 116) ** 3 if step > 8 else step / 903.3))
    np.fill((0, 0, 0))
    np.write()
    time.sleep_ms(20)
    np[2] = (v, v, v)
    np.write()
    time.sleep_ms(20)
