# tune: RED_FIRST red_first 0 1
# criterion: The deck shows amber
# mistake: a lamp left out, or set after the last write()
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
np[0] = (100, 0, 0)
np[1] = (0, 100, 0)
np[2] = np[3] = (100, 100, 100)
np.write()
np[4] = (100, 40, 0)
