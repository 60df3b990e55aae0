from neopixel import NeoPixel

lamps = NeoPixel(13, 5)
