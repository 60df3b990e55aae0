# criterion: The signals keep time
# mistake: one lamp waits for the other
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
ON, OFF = (100, 100, 100), (0, 0, 0)

signals = 0


def flash(lamp, lit, dark):
    np[lamp] = ON
    np.write()
    time.sleep_ms(lit)
    np[lamp] = OFF
    np.write()
    time.sleep_ms(dark)


while True:
    signals += 1
    print("signal %d: two short, one long" % signals)
    flash(2, 300, 300)
    flash(2, 300, 300)
    flash(2, 900, 1900)
    flash(3, 750, 750)
