# criterion: It ends at full white and stays
# mistake: lightness sent as it is
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
for lightness in range(101):
    np[2] = (lightness, lightness, lightness)
    np.write()
    time.sleep_ms(40)
