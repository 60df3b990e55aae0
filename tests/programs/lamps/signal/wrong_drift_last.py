# criterion: The signals keep time
# mistake: time drifts
# The moment of each change is counted from when the loop noticed the last one.
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
ON, OFF = (100, 100, 100), (0, 0, 0)

WAITS = (300, 300, 300, 300, 900, 1900)
step, signals = 0, 0
stern = False
mast_last = time.ticks_add(time.ticks_ms(), -1900)
stern_last = time.ticks_add(time.ticks_ms(), -750)
while True:
    now = time.ticks_ms()
    if time.ticks_diff(now, mast_last) >= WAITS[step - 1]:
        mast_last = now
        np[2] = OFF if step % 2 else ON
        np.write()
        if step == 0:
            signals += 1
            print("signal %d: two short, one long" % signals)
        step = (step + 1) % 6
    if time.ticks_diff(now, stern_last) >= 750:
        stern_last = now
        stern = not stern
        np[3] = ON if stern else OFF
        np.write()
    time.sleep_ms(7)
