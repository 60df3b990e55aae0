# criterion: Then it calls for help
# mistake: blinks too fast
from machine import Pin, PWM

motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]

from neopixel import NeoPixel
import time

lamps = NeoPixel(Pin(13), 5)
bumper = Pin(19, Pin.IN, Pin.PULL_UP)
AMBER = (120, 50, 0)
WHITE = (60, 60, 60)
DARK = (0, 0, 0)


def show(colour):
    lamps[4] = colour
    lamps.write()


def ahead(effort):
    for k in (0, 2):
        motors[k].duty_u16(65535)
        motors[k + 1].duty_u16(int(65535 * (1 - effort)))


def stop():
    for pwm in motors:
        pwm.duty_u16(0)


def go(ms):
    begun = time.ticks_ms()
    while True:
        now = time.ticks_diff(time.ticks_ms(), begun)
        if now > ms:
            return True
        if bumper.value() == 0:
            return False
        ahead(min(0.45, 0.45 * now / 600))
        time.sleep_ms(10)


show(AMBER)
time.sleep(3)
show(WHITE)
try:
    well = go(2000)
finally:
    stop()
if well:
    show(DARK)
while not well:
    show(AMBER)
    time.sleep_ms(60)
    show(DARK)
    time.sleep_ms(60)
