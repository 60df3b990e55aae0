# tune: RED_FIRST red_first 0 1
# criterion: The mast shows white
# mistake: lit too late
# A lamp test of two seconds comes first.
import time
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
for lamp in range(5):
    np.fill((0, 0, 0))
    np[lamp] = (0, 0, 90)
    np.write()
    time.sleep_ms(400)
for lamp, colour in enumerate(((100, 0, 0), (0, 100, 0), (100,) * 3, (100,) * 3, (100, 40, 0))):
    np[lamp] = colour
np.write()
