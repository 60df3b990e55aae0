# criterion: Its motors stay off
# mistake: motors not held off
from machine import Pin


import network
import time
from neopixel import NeoPixel

from secrets import NETWORKS
lamps = NeoPixel(Pin(13), 5)


def show(colour):
    lamps[4] = colour
    lamps.write()


def join(name, key):
    wlan.connect(name, key)
    for _ in range(60):
        if wlan.isconnected():
            return True
        time.sleep_ms(100)
    wlan.disconnect()
    return False


show((60, 0, 90))
wlan = network.WLAN(network.STA_IF)
wlan.active(True)
for name, key in NETWORKS:
    if join(name, key):
        show((60, 60, 60))
        break
else:
    while True:
        show((120, 50, 0))
        time.sleep_ms(250)
        show((0, 0, 0))
        time.sleep_ms(250)
