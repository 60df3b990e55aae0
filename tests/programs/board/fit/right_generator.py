# Stages come from a generator; names in another alphabet.
from machine import PWM, Pin

try:
    import settings as ρυθμίσεις
except ImportError:
    ρυθμίσεις = None

κινητήρες = {}
if ρυθμίσεις:
    for όνομα, ακίδα in ρυθμίσεις.PINS.items():
        if όνομα.endswith("_ahead") or όνομα.endswith("_back"):
            κινητήρες[όνομα] = PWM(Pin(ακίδα), freq=500, duty_u16=0)

from neopixel import NeoPixel
from time import sleep_ms

φώτα = NeoPixel(Pin(ρυθμίσεις.PINS["lamps"] if ρυθμίσεις else 13), 5)


def φως(k, r, g, b):
    if ρυθμίσεις and ρυθμίσεις.LAMP_ORDER == "RGB":
        r, g = g, r
    φώτα[k] = (r, g, b)
    φώτα.write()


def ώθηση(πλευρά, δύναμη):
    κινητήρες[πλευρά + "_ahead"].duty_u16(65535)
    κινητήρες[πλευρά + "_back"].duty_u16(round(65535 * (1 - δύναμη)))


def στάδια():
    φως(0, 90, 0, 0)
    φως(1, 0, 90, 0)
    yield 2050
    ώθηση("left", ρυθμίσεις.LEFT_EFFORT)
    ώθηση("right", ρυθμίσεις.RIGHT_EFFORT)
    yield 2000
    for κινητήρας in κινητήρες.values():
        κινητήρας.duty_u16(0)
    yield 10


def βοήθεια():
    while True:
        φως(4, 110, 60, 0)
        yield 200
        φως(4, 0, 0, 0)
        yield 300


for χρόνος in στάδια() if ρυθμίσεις else βοήθεια():
    sleep_ms(χρόνος)
