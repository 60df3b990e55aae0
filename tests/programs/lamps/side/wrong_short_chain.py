# tune: RED_FIRST red_first 0 1
# criterion: The deck shows amber
# mistake: chain set up too short
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
np = NeoPixel(Pin(13), 4)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
for lamp, colour in enumerate([(100, 0, 0), (0, 100, 0), (100, 100, 100), (100, 100, 100)]):
    np[lamp] = colour
np.write()
