# One list of stages, each a generator; names in another alphabet.
from machine import PWM, Pin

моторы = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]

import time
from neopixel import NeoPixel

огни = NeoPixel(Pin(13), 5)
бампер = Pin(19, Pin.IN, Pin.PULL_UP)


def палуба(цвет):
    огни[4] = цвет
    огни.write()


def ждать(мс):
    for _ in range(мс // 10):
        yield 0


def ход(мс):
    сила = 0
    for _ in range(мс // 10):
        if not бампер.value():
            return
        сила = min(сила + 900, 27000)
        yield сила


def стоп():
    for мотор in моторы:
        мотор.duty_u16(0)


def пройти(стадия):
    for сила in стадия:
        if сила:
            for k in (0, 2):
                моторы[k].duty_u16(65535)
                моторы[k + 1].duty_u16(65535 - сила)
        time.sleep_ms(10)
    стоп()


палуба((110, 45, 0))
пройти(ждать(3100))
палуба((70, 70, 70))
пройти(ход(2200))
time.sleep_ms(20)  # until the switch has bounced
беда = not бампер.value()
палуба((0, 0, 0))
while беда:
    палуба((110, 45, 0))
    time.sleep_ms(220)
    палуба((0, 0, 0))
    time.sleep_ms(260)
