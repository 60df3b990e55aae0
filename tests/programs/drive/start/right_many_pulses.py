# tune: LEFT left_start 0.10 0.30
# tune: RIGHT right_start 0.10 0.30
# Twenty thousand pulses a second, from rest with the brake on; a wheel starts at a little more.
from machine import Pin, PWM
import time

LEFT = 0.2
RIGHT = 0.2

inputs = [PWM(Pin(pin), freq=20000, duty_u16=65535) for pin in (25, 26, 27, 14)]
time.sleep(0.2)
inputs[1].duty_u16(int(65535 * (1 - LEFT)))
inputs[3].duty_u16(int(65535 * (1 - RIGHT)))
time.sleep(2.5)
for pwm in inputs:
    pwm.duty_u16(0)
