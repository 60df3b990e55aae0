# criterion: The mast signals: two short, one long
# mistake: the signals stop too early
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
ON, OFF = (100, 100, 100), (0, 0, 0)

print("signal 1: two short, one long")
for lit, dark in ((300, 300), (300, 300), (900, 1900)):
    np[2] = np[3] = ON
    np.write()
    time.sleep_ms(lit)
    np[2] = np[3] = OFF
    np.write()
    time.sleep_ms(dark)
