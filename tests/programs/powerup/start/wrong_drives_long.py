# Drives for 4 s.
# criterion: It stops by itself
# mistake: drives too far
from machine import Pin, PWM
motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]
from neopixel import NeoPixel
import time
lamps = NeoPixel(Pin(13), 5)
bumper = Pin(19, Pin.IN, Pin.PULL_UP)


def deck(c):
    lamps[4] = c
    lamps.write()


def stop():
    for pwm in motors:
        pwm.duty_u16(0)


def both(effort):
    for a, b in ((0, 1), (2, 3)):
        motors[a].duty_u16(65535)
        motors[b].duty_u16(int(65535 * (1 - effort)))


def go(ms):
    for step in range(ms // 10):
        if bumper.value() == 0:
            return False
        both(min(0.45, step / 100))
        time.sleep_ms(10)
    return True


deck((120, 50, 0))
time.sleep(3)
deck((60, 60, 60))
try:
    well = go(4000)
finally:
    stop()
while not well:
    deck((120, 50, 0))
    time.sleep_ms(250)
    deck((0, 0, 0))
    time.sleep_ms(250)
