# criterion: The signals keep time
# mistake: it begins too late
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
DARK, WHITE = (0, 0, 0), (100, 100, 100)
LENGTHS = (300, 300, 300, 300, 900, 1900)
STERN = 750

time.sleep_ms(900)
mast_next = stern_next = time.ticks_ms()
place = signals = 0
lit = False
while True:
    now = time.ticks_ms()
    if time.ticks_diff(now, mast_next) >= 0:
        np[2] = WHITE if place % 2 == 0 else DARK
        np.write()
        if place == 0:
            signals += 1
            print("signal %d: two short, one long" % signals)
        mast_next = time.ticks_add(mast_next, LENGTHS[place])
        place = (place + 1) % 6
    if time.ticks_diff(now, stern_next) >= 0:
        lit = not lit
        np[3] = WHITE if lit else DARK
        np.write()
        stern_next = time.ticks_add(stern_next, STERN)
    time.sleep_ms(5)
