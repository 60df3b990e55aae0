# criterion: It ends at full white and stays
# mistake: the lamp goes out again
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
levels = [round(255 * (((s + 16) / 116) ** 3 if s > 8 else s / 903.3)) for s in range(101)]
for v in levels + levels[::-1]:
    np[2] = (v, v, v)
    np.write()
    time.sleep_ms(40)
