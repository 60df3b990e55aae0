# criterion: The port bow shows red
# mistake: lit too late
# tune: RED_FIRST red_first 0 1
import neopixel
import time
from machine import Pin

RED_FIRST = 0

np = neopixel.NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
np[0] = (100, 0, 0)
np[1] = (0, 100, 0)
np[2] = (100, 100, 100)
np[3] = (100, 100, 100)
np[4] = (100, 40, 0)
time.sleep(1)
np.write()
