# criterion: It ends at full white and stays
# mistake: a number beyond 255
# The last number is 256, of which the driver's buffer keeps the lowest eight bits: 0.
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
for step in range(1, 101):
    v = round(256 * (((step + 16) / 116) ** 3 if step > 8 else step / 903.3))
    np[2] = (v, v, v)
    np.write()
    time.sleep_ms(40)
