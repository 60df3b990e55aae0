# criterion: The deck shows amber
# mistake: the deck is not amber
# tune: RED_FIRST red_first 0 1
import neopixel
from machine import Pin

RED_FIRST = 0

np = neopixel.NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
np[0] = (100, 0, 0)
np[1] = (0, 100, 0)
np[2] = (100, 100, 100)
np[3] = (100, 100, 100)
np[4] = (100, 100, 0)
np.write()
