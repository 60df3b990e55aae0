# tune: RED_FIRST red_first 0 1
# The driver's buffer written byte by byte, in the order of the wire.
from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0
R, G = (0, 1) if RED_FIRST else (1, 0)
np = NeoPixel(Pin(13), 5)
wire = np.buf
wire[0 + R] = 0x64
wire[3 + G] = 0x64
wire[6:12] = bytes([0x50] * 6)
wire[12 + R], wire[12 + G] = 0x64, 0x30
np.write()
