# criterion: It feels for the wall
# mistake: counted without a touch
from machine import Pin, PWM

motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]

from neopixel import NeoPixel
import time

lamps = NeoPixel(Pin(13), 5)
bumper = Pin(19, Pin.IN, Pin.PULL_UP)


def drive(effort):
    for k in (0, 2):
        ahead, back = (motors[k], motors[k + 1]) if effort > 0 else (motors[k + 1], motors[k])
        ahead.duty_u16(65535)
        back.duty_u16(int(65535 * (1 - abs(effort))))


for press in range(5):
    drive(0.4)
    while not bumper.value():
        time.sleep_ms(5)
    lamps[press] = (0, 0, 60)
    lamps.write()
    drive(-0.4)
    time.sleep_ms(450)
for pwm in motors:
    pwm.duty_u16(0)
