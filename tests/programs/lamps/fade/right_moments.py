# A table of moments: when each of the 255 numbers is due.
import time
import machine
import neopixel

np = neopixel.NeoPixel(machine.Pin(13), 5)
begin = time.ticks_add(time.ticks_ms(), 500)
for n in range(1, 256):
    y = n / 255
    L = 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y
    due = time.ticks_add(begin, int(40 * L))
    wait = time.ticks_diff(due, time.ticks_ms())
    if wait > 0:
        time.sleep_ms(wait)
    np[2] = (n, n, n)
    np.write()
