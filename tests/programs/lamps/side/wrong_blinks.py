# tune: RED_FIRST red_first 0 1
# criterion: The port bow shows red
# mistake: lamps blink that should be steady
import time
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
lit = False
while True:
    lit = not lit
    on = 100 if lit else 0
    np[0] = (on, 0, 0)
    np[1] = (0, on, 0)
    np[2] = np[3] = (100, 100, 100)
    np[4] = (100, 40, 0)
    np.write()
    time.sleep_ms(400)
