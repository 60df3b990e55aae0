# then: TOP 256
# tune: RED_FIRST red_first 0 1
# criterion: The port bow shows red
# mistake: a lamp left out, or set after the last write()
# 256 is one more than a byte holds, so it counts as 0.
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
TOP = 100
np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
np[0] = (TOP, 0, 0)
np[1] = (0, TOP, 0)
np[2] = np[3] = (100, 100, 100)
np[4] = (100, 40, 0)
np.write()
