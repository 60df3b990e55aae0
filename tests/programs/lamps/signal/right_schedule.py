# Each lamp has a moment of its next change, moved on by ticks_add.
import time
import neopixel
from machine import Pin

np = neopixel.NeoPixel(Pin(13), 5)
ON, OFF = (100, 100, 100), (0, 0, 0)
WAITS = (300, 300, 300, 300, 900, 1900)

mast_next = stern_next = time.ticks_ms()
step = 0
signals = 0
stern_on = False
while True:
    now = time.ticks_ms()
    if time.ticks_diff(now, mast_next) >= 0:
        np[2] = ON if step % 2 == 0 else OFF
        np.write()
        if step == 0:
            signals += 1
            print("signal %d: two short, one long" % signals)
        mast_next = time.ticks_add(mast_next, WAITS[step])
        step = (step + 1) % 6
    if time.ticks_diff(now, stern_next) >= 0:
        stern_on = not stern_on
        np[3] = ON if stern_on else OFF
        np.write()
        stern_next = time.ticks_add(stern_next, 750)
    time.sleep_ms(5)
