# criterion: It turns, and reads the sensor
# mistake: turned by the clock
from machine import Pin, PWM, I2C
import time

SENSOR = 0x68

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
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


def spin(effort):
    motor(left_ahead, left_back, -effort)
    motor(right_ahead, right_back, effort)


spin(0.4)
time.sleep(0.62)
spin(0)
time.sleep(0.5)
print("turned", 90)
spin(-0.4)
time.sleep(0.62)
spin(0)
time.sleep(0.5)
print("turned", -90)
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.duty_u16(0)
