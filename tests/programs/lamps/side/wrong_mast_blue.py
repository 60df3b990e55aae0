# tune: RED_FIRST red_first 0 1
# criterion: The mast shows white
# mistake: another colour than the one asked
# The mast keeps the blue of the lesson's first program.
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
COLOURS = [(100, 0, 0), (0, 100, 0), (100, 100, 100), (100, 100, 100), (100, 40, 0)]
COLOURS[2] = (0, 0, 100)
for lamp in range(5):
    np[lamp] = COLOURS[lamp]
np.write()
