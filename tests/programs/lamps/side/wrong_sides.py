# then: PORT 1
# tune: RED_FIRST red_first 0 1
# criterion: The starboard bow shows green
# mistake: port and starboard swapped
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
PORT = 0
np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
np[PORT] = (100, 0, 0)
np[1 - PORT] = (0, 100, 0)
np[2] = np[3] = (100, 100, 100)
np[4] = (100, 40, 0)
np.write()
