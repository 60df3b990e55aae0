# criterion: It takes four seconds
# mistake: steps and waits do not make four seconds
# sleep(0.40) in place of 0.04: ten times too slow, the trial ends on the way.
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
for step in range(1, 101):
    v = round(255 * (((step + 16) / 116) ** 3 if step > 8 else step / 903.3))
    np[2] = (v, v, v)
    np.write()
    time.sleep(0.40)
