# tune: RED_FIRST red_first 0 1
# criterion: The port bow shows red
# mistake: colours on the wrong lamps
# The chain is taken from its other end.
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
COLOURS = [(100, 0, 0), (0, 100, 0), (100, 100, 100), (100, 100, 100), (100, 40, 0)]
for lamp in range(5):
    np[4 - lamp] = COLOURS[lamp]
np.write()
