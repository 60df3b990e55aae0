# then: GREEN_FIRST 1
# tune: RED_FIRST red_first 0 1
# criterion: The port bow shows red
# mistake: colour order swapped
# Mended twice: the driver is told the order, and the tuples are exchanged as well.
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
GREEN_FIRST = 0
np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)


def ordered(red, green, blue):
    return (green, red, blue) if GREEN_FIRST else (red, green, blue)


np[0] = ordered(100, 0, 0)
np[1] = ordered(0, 100, 0)
np[2] = np[3] = ordered(100, 100, 100)
np[4] = ordered(100, 40, 0)
np.write()
