# tune: RED_FIRST red_first 0 1
# criterion: The stern shows white
# mistake: white without one of its three colours
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
np[0] = (100, 0, 0)
np[1] = (0, 100, 0)
np[2] = np[3] = (100, 100, 0)
np[4] = (100, 40, 0)
np.write()
