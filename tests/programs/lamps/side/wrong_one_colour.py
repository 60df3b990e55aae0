# criterion: The port bow shows red
# mistake: one colour for all lamps
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
np.fill((100, 100, 100))
np.write()
