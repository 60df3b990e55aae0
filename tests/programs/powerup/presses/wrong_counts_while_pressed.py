# criterion: Each touch counts once
# mistake: each bounce is counted
from machine import Pin, PWM

motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]

from neopixel import NeoPixel
import time

lamps = NeoPixel(Pin(13), 5)
bumper = Pin(19, Pin.IN, Pin.PULL_UP)


def drive(effort):
    for ahead, back in ((motors[0], motors[1]), (motors[2], motors[3])):
        if effort < 0:
            ahead, back = back, ahead
        ahead.duty_u16(65535)
        back.duty_u16(int(65535 * (1 - abs(effort))))


def stop():
    for pwm in motors:
        pwm.duty_u16(0)


count = 0
before = steady = 1
changed = time.ticks_ms()
drive(0.35)
astern = 0
try:
    while count < 5 or astern:
        level = bumper.value()
        now = time.ticks_ms()
        if level != before:
            before = level
            changed = now
        if level == 0 and count < 5:
            if count < 5:
                drive(-0.4)
                lamps[count] = (50, 50, 50)
                lamps.write()
                count += 1
                astern = 400
        if astern:
            astern -= 1
            if not astern:
                drive(0.35)
        time.sleep_ms(1)
finally:
    stop()
