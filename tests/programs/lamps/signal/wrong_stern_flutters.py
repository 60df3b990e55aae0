# criterion: No lamp flashes too fast
# mistake: flashes more than three times a second
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
ON, OFF = (100, 100, 100), (0, 0, 0)

start = time.ticks_ms()
told = 0
while True:
    ms = time.ticks_diff(time.ticks_ms(), start)
    t = ms % 4000
    np[2] = ON if t < 300 or 600 <= t < 900 or 1200 <= t < 2100 else OFF
    np[3] = ON if ms % 200 < 100 else OFF
    np.write()
    if ms // 4000 >= told:
        told += 1
        print("signal %d: two short, one long" % told)
    time.sleep_ms(10)
