# Only what it began with.
# criterion: It feels for the wall
# mistake: the program does nothing yet
from machine import Pin, PWM

motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]

from neopixel import NeoPixel
import time

lamps = NeoPixel(Pin(13), 5)
bumper = Pin(19, Pin.IN, Pin.PULL_UP)


def both(effort):
    """Drive ahead (effort above 0) or astern (below 0)."""
    for ahead, back in ((motors[0], motors[1]), (motors[2], motors[3])):
        still, pulsed = (ahead, back) if effort > 0 else (back, ahead)
        still.duty_u16(65535)
        pulsed.duty_u16(int(65535 * (1 - abs(effort))))


def stop():
    for pwm in motors:
        pwm.duty_u16(0)


# Five touches, one lamp for each; then stop.
