# criterion: The signals keep time
# mistake: time drifts
# Ticks of 10 ms that forget what the rest of the loop takes.
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
ON, OFF = (100, 100, 100), (0, 0, 0)

tick = 0
while True:
    t = tick % 400
    np[2] = ON if t < 30 or 60 <= t < 90 or 120 <= t < 210 else OFF
    np[3] = ON if tick % 150 < 75 else OFF
    np.write()
    if t == 0:
        print("signal %d: two short, one long" % (tick // 400 + 1))
    tick += 1
    time.sleep_ms(10)
