# then: FIRST 1
# tune: RED_FIRST red_first 0 1
# criterion: The port bow shows red
# mistake: lamps counted from 1
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
FIRST = 0
np = NeoPixel(Pin(13), 6)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
np[FIRST] = (100, 0, 0)
np[FIRST + 1] = (0, 100, 0)
np[FIRST + 2] = np[FIRST + 3] = (100, 100, 100)
np[FIRST + 4] = (100, 40, 0)
np.write()
