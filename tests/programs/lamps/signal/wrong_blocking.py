# criterion: The stern lamp blinks by itself
# mistake: one lamp waits for the other
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
ON, OFF = (100, 100, 100), (0, 0, 0)

signals = 0
stern = False
while True:
    signals += 1
    for lit, dark in ((300, 300), (300, 300), (900, 1900)):
        np[2] = ON
        np.write()
        time.sleep_ms(lit)
        np[2] = OFF
        np.write()
        time.sleep_ms(dark)
    print("signal %d: two short, one long" % signals)
    stern = not stern
    np[3] = ON if stern else OFF
    np.write()
