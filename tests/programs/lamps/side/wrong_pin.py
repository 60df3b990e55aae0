# criterion: The lamps are lit
# mistake: wrong pin
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(12), 5)
np[0] = (100, 0, 0)
np[1] = (0, 100, 0)
np[2] = np[3] = (100, 100, 100)
np[4] = (100, 40, 0)
np.write()
