import neopixels
