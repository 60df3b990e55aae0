# criterion: It takes four seconds
# mistake: no sleep in the loop
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
for step in range(1, 201):
    L = step / 2
    v = round(255 * (((L + 16) / 116) ** 3 if L > 8 else L / 903.3))
    np[2] = (v, v, v)
    np.write()
