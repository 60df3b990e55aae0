# tune: RED_FIRST red_first 0 1
# criterion: The mast shows white
# mistake: lamps blink that should be steady
# It happens to be dark when the time is up.
import time
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
while True:
    np[0], np[1], np[4] = (100, 0, 0), (0, 100, 0), (100, 40, 0)
    np[2] = np[3] = (100, 100, 100)
    np.write()
    time.sleep_ms(300)
    np.fill((0, 0, 0))
    np.write()
    time.sleep_ms(300)
