# criterion: No lamp flashes too fast
# mistake: flashes more than three times a second
# The signal at four times its pace.
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
ON, OFF = (100, 100, 100), (0, 0, 0)

start = time.ticks_ms()
told = 0
while True:
    ms = time.ticks_diff(time.ticks_ms(), start)
    t = ms % 1000
    np[2] = ON if t < 75 or 150 <= t < 225 or 300 <= t < 525 else OFF
    np[3] = ON if ms % 240 < 120 else OFF
    np.write()
    if ms // 1000 >= told:
        told += 1
        print("signal %d: two short, one long" % told)
    time.sleep_ms(5)
