# criterion: The lamps are lit
# mistake: the program stopped with an error
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
np[1] = (100, 0, 0)
np[2] = (0, 100, 0)
np[3] = np[4] = (100, 100, 100)
np[5] = (100, 40, 0)
np.write()
