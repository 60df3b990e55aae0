# criterion: The stern lamp blinks by itself
# mistake: one lamp waits for the other
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
count = 0
while True:
    count += 1
    print("signal %d: two short, one long" % count)
    for lit, dark in ((300, 300), (300, 300), (900, 1900)):
        np[2] = np[3] = (100, 100, 100)
        np.write()
        time.sleep_ms(lit)
        np[2] = np[3] = (0, 0, 0)
        np.write()
        time.sleep_ms(dark)
