# criterion: The signals keep time
# mistake: time drifts
# Sleeps for both lamps in one table; what sending and printing take is added to them.
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
ON, OFF = (100, 100, 100), (0, 0, 0)

moments = sorted(
    [(4000 * n + at, 2, on) for n in range(3)
     for at, on in ((0, 1), (300, 0), (600, 1), (900, 0), (1200, 1), (2100, 0))]
    + [(750 * k, 3, 1 - k % 2) for k in range(16)]
)
signals = 0
while True:
    for k, (at, lamp, on) in enumerate(moments):
        np[lamp] = ON if on else OFF
        np.write()
        if lamp == 2 and at % 4000 == 0:
            signals += 1
            print("signal %d: two short, one long" % signals)
        after = moments[k + 1][0] if k + 1 < len(moments) else 12000
        time.sleep_ms(after - at)
