# Each motor has its time, the right one when the left one stands again.
# criterion: It keeps to the line
# mistake: one motor after the other
from machine import Pin, PWM
import time

left_ahead = PWM(Pin(25), freq=1000, duty_u16=0)
left_back = PWM(Pin(26), freq=1000, duty_u16=0)
right_ahead = PWM(Pin(27), freq=1000, duty_u16=0)
right_back = PWM(Pin(14), freq=1000, duty_u16=0)


def motor(ahead, back, effort):
    if effort >= 0:
        ahead.duty_u16(65535)
        back.duty_u16(int(65535 * (1 - effort)))
    else:
        back.duty_u16(65535)
        ahead.duty_u16(int(65535 * (1 + effort)))


def stop():
    for pwm in (left_ahead, left_back, right_ahead, right_back):
        pwm.duty_u16(0)

motor(left_ahead, left_back, 0.6)
time.sleep(2)
stop()
motor(right_ahead, right_back, 0.6)
time.sleep(2)
stop()
