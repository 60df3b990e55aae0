# A generator of looks.
from machine import Pin

held = tuple(Pin(n, Pin.OUT, value=0) for n in (14, 27, 26, 25))

from network import STA_IF, WLAN
from neopixel import NeoPixel
from time import sleep_ms

import secrets

огни = NeoPixel(Pin(13), 5)
связь = WLAN(STA_IF)


def палуба(r, g, b):
    огни[4] = (r, g, b)
    огни.write()


def взгляды(сколько):
    for _ in range(сколько):
        yield связь.isconnected()
        sleep_ms(200)


палуба(0, 40, 70)
связь.active(True)
готово = False
for имя, ключ in secrets.NETWORKS:
    связь.connect(имя, ключ)
    готово = any(взгляды(25))
    if готово:
        палуба(90, 90, 90)
        break
    связь.disconnect()
while not готово:
    палуба(80, 40, 0)
    sleep_ms(200)
    палуба(0, 0, 0)
    sleep_ms(300)
