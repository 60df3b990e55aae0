# tune: RED_FIRST red_first 0 1
# criterion: Neither dim nor dazzling
# mistake: too dim or too bright
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
np[0] = (255, 0, 0)
np[1] = (0, 255, 0)
np[2] = np[3] = (255, 255, 255)
np[4] = (255, 100, 0)
np.write()
