# criterion: The mast signals: two short, one long
# mistake: write() forgotten for one lamp
import time
from machine import Pin
from neopixel import NeoPixel

DARK, WHITE = (0, 0, 0), (100, 100, 100)
LENGTHS = (300, 300, 300, 300, 900, 1900)

np = NeoPixel(Pin(13), 5)
mast_next = stern_next = time.ticks_ms()
place = count = 0
stern_lit = False
while True:
    now = time.ticks_ms()
    if time.ticks_diff(now, mast_next) >= 0:
        np[2] = WHITE if place % 2 == 0 else DARK
        if place == 0:
            count += 1
            print("signal %d: two short, one long" % count)
        mast_next = time.ticks_add(mast_next, LENGTHS[place])
        place = (place + 1) % 6
    if time.ticks_diff(now, stern_next) >= 0:
        stern_lit = not stern_lit
        np[3] = WHITE if stern_lit else DARK
        np.write()
        stern_next = time.ticks_add(stern_next, 750)
    time.sleep_ms(5)
