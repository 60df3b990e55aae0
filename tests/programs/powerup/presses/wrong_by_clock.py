# To and fro by the clock, an effort with which most touches fall into the right time.
# criterion: It feels for the wall
# mistake: bumper never read
from machine import Pin, PWM

motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]

from neopixel import NeoPixel
import time

lamps = NeoPixel(Pin(13), 5)
bumper = Pin(19, Pin.IN, Pin.PULL_UP)


def both(effort):
    for ahead, back in ((motors[0], motors[1]), (motors[2], motors[3])):
        still, pulsed = (ahead, back) if effort > 0 else (back, ahead)
        still.duty_u16(65535)
        pulsed.duty_u16(int(65535 * (1 - abs(effort))))


for k in range(5):
    both(0.5)
    time.sleep(0.6 if k else 1.0)
    lamps[k] = (50, 50, 50)
    lamps.write()
    both(-0.4)
    time.sleep(0.4)
for pwm in motors:
    pwm.duty_u16(0)
