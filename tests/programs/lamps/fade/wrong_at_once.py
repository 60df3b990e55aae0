# criterion: It comes up evenly to the eye
# mistake: too few steps
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
np.write()
time.sleep_ms(500)
np[2] = (255, 255, 255)
np.write()
