# Listens first, and asks only for what it hears and knows, in the order of the list.
from machine import PWM, Pin

motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]

import network
import time
from neopixel import NeoPixel

from secrets import NETWORKS as KNOWN
np = NeoPixel(Pin(13), 5)


def deck(*colour):
    np[4] = colour
    np.write()


deck(50, 0, 80)
station = network.WLAN(network.STA_IF)
station.active(True)
while not station.isconnected():
    for name, key in KNOWN:
        station.connect(name, key)
        end = time.ticks_add(time.ticks_ms(), 5000)
        while not station.isconnected() and time.ticks_diff(end, time.ticks_ms()) > 0:
            time.sleep_ms(50)
        if station.isconnected():
            deck(70, 70, 70)
            break
        station.disconnect()
    else:
        for _ in range(20):
            deck(100, 50, 0)
            time.sleep_ms(300)
            deck(0, 0, 0)
            time.sleep_ms(200)
